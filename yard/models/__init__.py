"""The yard's tables, one file a noun."""

from .base import AppendOnlyError, Record
from .bay import Bay, BayAir, BayKind
from .contact import Contact
from .estimate import Estimate, EstimateTarget
from .history import History
from .import_file import ImportFile, ImportKind
from .log import Log, LogState
from .observation import MeterReading, OvenSection, Sample, StackWeighing, Weighing
from .person import Invite, Person, Role, Theme, Units
from .phone import PhoneRecord
from .photo import Photo
from .private_feed import PrivateFeed
from .reading_token import ReadingToken
from .slab import GONE, Slab, SlabKind, SlabState, WidthBasis
from .stack import Cohort, Membership, Stack, Stay
from .weather import Reading, Sensor, SensorDay, SensorKind, WeatherDay, WeatherFile
from .yard import LogRule, Yard

__all__ = [
    "GONE",
    "AppendOnlyError",
    "Bay",
    "BayAir",
    "BayKind",
    "Cohort",
    "Contact",
    "Estimate",
    "EstimateTarget",
    "History",
    "ImportFile",
    "ImportKind",
    "Invite",
    "Log",
    "LogRule",
    "LogState",
    "Membership",
    "MeterReading",
    "OvenSection",
    "Person",
    "PhoneRecord",
    "Photo",
    "PrivateFeed",
    "Reading",
    "ReadingToken",
    "Record",
    "Role",
    "Sample",
    "Sensor",
    "SensorDay",
    "SensorKind",
    "Slab",
    "SlabKind",
    "SlabState",
    "Stack",
    "StackWeighing",
    "Stay",
    "Theme",
    "Units",
    "WeatherDay",
    "WeatherFile",
    "Weighing",
    "WidthBasis",
    "Yard",
]
