"""workbook.xlsx: the pack for the workshop wall and the merchant's counter."""
