"""Numbers in Spanish as in Mexico: a point before decimals, a comma between thousands.

The Spanish of Django writes 6.500 for six thousand five hundred; on a load sheet that would be
read as six and a half.
"""

DECIMAL_SEPARATOR = "."
THOUSAND_SEPARATOR = ","
NUMBER_GROUPING = 3
DATE_FORMAT = r"j \d\e F \d\e Y"
SHORT_DATE_FORMAT = "Y-m-d"
DATETIME_FORMAT = r"j \d\e F \d\e Y, H:i"
SHORT_DATETIME_FORMAT = "Y-m-d H:i"
TIME_FORMAT = "H:i"
FIRST_DAY_OF_WEEK = 0
DATE_INPUT_FORMATS = ["%Y-%m-%d", "%d/%m/%Y"]
DATETIME_INPUT_FORMATS = ["%Y-%m-%dT%H:%M", "%Y-%m-%d %H:%M", "%Y-%m-%d %H:%M:%S"]
