"""The tables of kilns, one file a noun."""

from .alarm import Alarm
from .kiln import Circuit, Device, DeviceKind, Kiln, KilnLayer, KilnSensor, KilnSurface, Part, SensorPlace
from .reading_hour import ReadingHour, ReadingHoursDay
from .run import (
    Condensate,
    EnergyReading,
    FinalReading,
    Phase,
    Run,
    RunNote,
    RunPhase,
    RunPhoto,
    RunStack,
    RunState,
    Treatment,
)
from .schedule import Schedule, ScheduleStep

__all__ = [
    "Alarm", "Circuit", "Condensate", "Device", "DeviceKind", "EnergyReading", "FinalReading", "Kiln", "KilnLayer",
    "KilnSensor", "KilnSurface", "Part", "Phase", "ReadingHour", "ReadingHoursDay", "Run", "RunNote", "RunPhase",
    "RunPhoto", "RunStack", "RunState", "Schedule", "ScheduleStep", "SensorPlace", "Treatment",
]  # fmt: skip
