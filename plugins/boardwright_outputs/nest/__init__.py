"""The files of `boardwright nest`: data, drawings of the sheets, a workbook."""
