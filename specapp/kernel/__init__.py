"""Pure calculations on plain numbers: units in the names, errors that speak in whole sentences."""
