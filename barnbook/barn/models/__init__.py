"""One file a group of tables; this page gathers them for Django."""

from barnbook.barn.models.calendar_link import CalendarLink
from barnbook.barn.models.collection import BatchWeighing, BirdWeighing, Collection, EggWeighing, Processing
from barnbook.barn.models.due import Due
from barnbook.barn.models.eggs_out import CanPromise, EggMove, EggStore, Order, Shipment, Withheld
from barnbook.barn.models.farm import Farm, House
from barnbook.barn.models.figure import Figure, FigureTable, ToReckon
from barnbook.barn.models.hatch_report import ReportLink, ReportRemark
from barnbook.barn.models.hatch_room import Parents, Setting, Tray
from barnbook.barn.models.outlay import Outlay
from barnbook.barn.models.outside import Customer
from barnbook.barn.models.people import Device, DevicePerson, Person, Role
from barnbook.barn.models.row import Gone
from barnbook.barn.models.sheet_link import SheetLink
from barnbook.barn.models.stock import Bird, Brood, Cage, HeadEvent, Line, Stay
from barnbook.barn.models.withdrawal import Wait, Withdrawal

__all__ = [
    "BatchWeighing",
    "Bird",
    "BirdWeighing",
    "Brood",
    "Cage",
    "CalendarLink",
    "CanPromise",
    "Collection",
    "Customer",
    "Device",
    "DevicePerson",
    "Due",
    "EggMove",
    "EggStore",
    "EggWeighing",
    "Farm",
    "Figure",
    "FigureTable",
    "Gone",
    "HeadEvent",
    "House",
    "Line",
    "Order",
    "Outlay",
    "Parents",
    "Person",
    "Processing",
    "ReportLink",
    "ReportRemark",
    "Role",
    "Setting",
    "SheetLink",
    "Shipment",
    "Stay",
    "ToReckon",
    "Tray",
    "Wait",
    "Withdrawal",
    "Withheld",
]
