from specapp.core.engine_command import EngineCommand


class Command(EngineCommand):
    help = "Print the JSON Schema of a document, or the list of criteria (no database)."
    engine_command = "schema"
