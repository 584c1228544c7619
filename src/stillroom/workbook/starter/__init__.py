"""How a starting workbook is laid out, filled and made to look: one module an idea."""

from typing import TYPE_CHECKING

from stillroom.lazy import submodules

__all__ = ["start"]

if TYPE_CHECKING:
    from stillroom.workbook.starter import start
else:
    __getattr__ = submodules(__name__, __all__)
