"""How French readers write numbers and dates here; a thin no-break space parts thousands.

The letter S is the ordinal of the day, as `repairs.dates` has it: “1er mai”, “2 mai”.
"""

DATE_FORMAT = "jS F Y"
SHORT_DATE_FORMAT = "d/m/Y"
DATETIME_FORMAT = "jS F Y à H:i"
TIME_FORMAT = "H:i"
DECIMAL_SEPARATOR = ","
THOUSAND_SEPARATOR = "\u202f"
NUMBER_GROUPING = 3
