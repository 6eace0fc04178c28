from specapp.core.engine_command import EngineCommand


class Command(EngineCommand):
    help = "Propose the monitoring of described machines (no database)."
    engine_command = "propose"
