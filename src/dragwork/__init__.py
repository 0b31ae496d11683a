"""From a tunnel sheet to watts, minutes and a judgement: the library behind the workbook."""

__version__ = "0.1.0"
