"""Dates and times as the international standard writes them."""

DATE_FORMAT = SHORT_DATE_FORMAT = "Y-m-d"
TIME_FORMAT = "H:i"
DATETIME_FORMAT = SHORT_DATETIME_FORMAT = "Y-m-d H:i"
