"""1. Juni 2026, 08:15; 12 345,6. "N" are Django's German short months, the usual ones: Jan., März, Sept."""

DATE_FORMAT = "j. N Y"
DATETIME_FORMAT = "j. N Y, H:i"
SHORT_DATE_FORMAT = "j. N"
MONTH_DAY_FORMAT = "j. N"
TIME_FORMAT = "H:i"
FIRST_DAY_OF_WEEK = 1
DECIMAL_SEPARATOR = ","
THOUSAND_SEPARATOR = "\u202f"
NUMBER_GROUPING = 3
