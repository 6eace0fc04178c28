from specapp.core.engine_command import EngineCommand


class Command(EngineCommand):
    help = "Evaluate bids technically and commercially (no database)."
    engine_command = "evaluate_bids"
