"""Can it be rigged, so many times, on that day: what is needed against what the cache holds."""

from ropewright.allotting.allot import Allotment, Given, Goals, allot, usable
from ropewright.allotting.demand import Misfit, Need, Unit, fits, misfit, times
from ropewright.allotting.people import Limit, Over, Ratio, limits_with, over_limits, worst_ratio
from ropewright.allotting.pieces import Worn, limits_of, needs_of
from ropewright.allotting.repairs import Fetch, Left, Repair, Repairs, repairs_of
from ropewright.allotting.shortage import Kept, Row, Status, reserve_kept, rows_of
from ropewright.allotting.stock import Item, Reserve, trouble, trouble_text
from ropewright.allotting.worst import worst_needs, worst_worn

__all__ = [
    "Allotment", "Fetch", "Given", "Goals", "Item", "Kept", "Left", "Limit", "Misfit", "Need", "Over",
    "Ratio", "Repair", "Repairs", "Reserve", "Row", "Status", "Unit", "Worn", "allot", "fits",
    "limits_of", "limits_with", "misfit", "needs_of", "over_limits", "repairs_of", "reserve_kept",
    "rows_of", "times", "trouble", "trouble_text", "usable", "worst_needs", "worst_ratio",
    "worst_worn",
]  # fmt: skip
