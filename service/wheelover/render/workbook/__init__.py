"""The workbook: a plan as tables of real numbers, made from its JSON values alone."""

from wheelover.render.workbook.workbook import workbook

__all__ = ["workbook"]
