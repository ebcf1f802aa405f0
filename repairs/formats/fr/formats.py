"""How French readers write numbers and dates here; a thin no-break space parts thousands."""

DATE_FORMAT = "j F Y"
SHORT_DATE_FORMAT = "d/m/Y"
DATETIME_FORMAT = "j F Y à H:i"
TIME_FORMAT = "H:i"
DECIMAL_SEPARATOR = ","
THOUSAND_SEPARATOR = "\u202f"
NUMBER_GROUPING = 3
