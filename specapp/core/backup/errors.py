class BackupRefused(Exception):
    """Nothing was written; the text says what was found and what is allowed."""
