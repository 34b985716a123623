"""Runs: a charge in a kiln from warm-up to cooling, what was seen of it, and what came out."""

from django.db import models
from django.db.models import F, Q

from yard.models.base import Edited, Record
from yard.models.photo import Photo


class Phase(models.TextChoices):
    WARM_UP = "warm_up", "Warm-up"
    DRYING = "drying", "Drying"
    EQUALISE = "equalise", "Equalise"
    CONDITION = "condition", "Condition"
    SANITISE = "sanitise", "Sanitise"
    COOL = "cool", "Cool"


class RunState(models.TextChoices):
    PLANNED = "planned", "Planned"
    RUNNING = "running", "Running"
    CLOSED = "closed", "Closed"
    GIVEN_UP = "given_up", "Given up"


class RunQuerySet(models.QuerySet):
    def running(self):
        return self.filter(state=RunState.RUNNING)

    def queued(self):
        """Planned and running: what keeps a kiln busy from now on."""
        return self.filter(state__in=[RunState.PLANNED, RunState.RUNNING])


class Run(Edited):
    """One charge. `plan` keeps what was expected (days, energy, cost, with intervals) when it was planned."""

    kiln = models.ForeignKey("kilns.Kiln", on_delete=models.PROTECT, related_name="runs")
    name = models.CharField(max_length=60)
    schedule = models.ForeignKey("kilns.Schedule", null=True, blank=True, on_delete=models.PROTECT, related_name="runs")
    state = models.CharField(max_length=10, choices=RunState, default=RunState.PLANNED)
    phase = models.CharField(max_length=10, choices=Phase, blank=True)
    step = models.PositiveIntegerField(default=1, help_text="Step of the schedule, 1 first.")
    target_mc_pct = models.FloatField(default=8.0)
    planned_start_on = models.DateField(null=True, blank=True)
    started_at = models.DateTimeField(null=True, blank=True)
    closed_at = models.DateTimeField(null=True, blank=True)
    plan = models.JSONField(default=dict)
    energy_start_kwh = models.FloatField(null=True, blank=True)
    energy_end_kwh = models.FloatField(null=True, blank=True)
    energy_cost = models.DecimalField(max_digits=10, decimal_places=2, null=True, blank=True)
    final_mc_pct = models.FloatField(null=True, blank=True)
    closing = models.JSONField(default=dict, help_text="What the run gave: tally, evenness, days, cost, learned.")
    note = models.TextField(blank=True)

    objects = RunQuerySet.as_manager()

    class Meta:
        ordering = ["-id"]
        constraints = [
            models.UniqueConstraint(
                fields=["kiln"],
                condition=Q(state="running"),
                name="one_running_run",
                violation_error_message="Another run is going on in this kiln: close it first.",
            ),
            models.CheckConstraint(
                condition=Q(closed_at__isnull=True) | Q(closed_at__gte=F("started_at")), name="run_runs_forward"
            ),
        ]
        indexes = [models.Index(fields=["kiln", "state"], name="run_of_kiln")]

    def __str__(self):
        return self.name


class RunStack(models.Model):
    """A stack of a run's charge."""

    run = models.ForeignKey(Run, on_delete=models.CASCADE, related_name="run_stacks")
    stack = models.ForeignKey("yard.Stack", on_delete=models.PROTECT, related_name="in_runs")

    class Meta:
        constraints = [models.UniqueConstraint(fields=["run", "stack"], name="stack_in_run_once")]

    def __str__(self):
        return f"{self.stack} in {self.run}"


class RunPhase(models.Model):
    """When a phase or a schedule step began, with the set points that the person set."""

    run = models.ForeignKey(Run, on_delete=models.CASCADE, related_name="phases")
    phase = models.CharField(max_length=10, choices=Phase)
    step = models.PositiveIntegerField(default=1)
    began_at = models.DateTimeField()
    ended_at = models.DateTimeField(null=True, blank=True)
    dry_bulb_f = models.FloatField(null=True, blank=True)
    wet_bulb_f = models.FloatField(null=True, blank=True)
    rh_pct = models.FloatField(null=True, blank=True)
    emc_pct = models.FloatField(null=True, blank=True)
    by = models.ForeignKey("yard.Person", null=True, on_delete=models.PROTECT, related_name="+")
    note = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ["began_at", "id"]
        constraints = [
            models.UniqueConstraint(fields=["run"], condition=Q(ended_at__isnull=True), name="one_phase_at_a_time")
        ]

    def __str__(self):
        return self.get_phase_display()


class Condensate(Record):
    """Water caught and weighed or measured since the last time: a lower bound on what the wood lost."""

    run = models.ForeignKey(Run, on_delete=models.PROTECT, related_name="condensates")
    water_lb = models.FloatField()

    class Meta:
        ordering = ["made_at", "id"]

    def __str__(self):
        return f"{self.water_lb:g} lb"


class EnergyReading(Record):
    """What the meter of the kiln showed."""

    run = models.ForeignKey(Run, on_delete=models.PROTECT, related_name="energy_readings")
    meter_kwh = models.FloatField()

    class Meta:
        ordering = ["made_at", "id"]

    def __str__(self):
        return f"{self.meter_kwh:g} kWh"


class RunNote(Record):
    """A note or a finding of a run: what was seen, a prong test, degrade."""

    KINDS = [("note", "Note"), ("prong", "Prong test"), ("degrade", "Degrade")]

    run = models.ForeignKey(Run, on_delete=models.PROTECT, related_name="notes")
    kind = models.CharField(max_length=10, choices=KINDS, default="note")
    value = models.FloatField(null=True, blank=True, help_text="Inward bend of the prongs in inches.")
    slab = models.ForeignKey("yard.Slab", null=True, blank=True, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["made_at", "id"]

    def __str__(self):
        return self.note


class RunPhoto(Photo):
    """A photo of a run: the yard's own table of photos, with the run that it hangs on."""

    run = models.ForeignKey(Run, on_delete=models.PROTECT, related_name="photos")


class FinalReading(Record):
    """The MC of one board when the run was closed."""

    run = models.ForeignKey(Run, on_delete=models.PROTECT, related_name="final_readings")
    slab = models.ForeignKey("yard.Slab", null=True, blank=True, on_delete=models.PROTECT, related_name="+")
    mc_pct = models.FloatField()
    shell_pct = models.FloatField(null=True, blank=True)
    core_pct = models.FloatField(null=True, blank=True)

    class Meta:
        ordering = ["made_at", "id"]

    def __str__(self):
        return f"{self.mc_pct:g}%"


class Treatment(Edited):
    """A record of heat treatment: how the core was proved, and for how long. It is not a certificate."""

    run = models.ForeignKey(Run, on_delete=models.PROTECT, related_name="treatments")
    kind = models.CharField(max_length=20, help_text="Key of a heat treatment in the physics.")
    proved_by = models.CharField(max_length=10, choices=[("probe", "Core probe"), ("model", "Model on measured air")])
    core_f = models.FloatField()
    hold_min = models.FloatField()
    began_at = models.DateTimeField()
    ended_at = models.DateTimeField()
    lowest_core_f = models.FloatField()
    slowest = models.CharField(max_length=120, help_text="The piece that was slowest to heat.")
    evidence = models.JSONField(default=dict)
    by = models.ForeignKey("yard.Person", null=True, on_delete=models.PROTECT, related_name="+")

    def __str__(self):
        return f"{self.hold_min:g} min at {self.core_f:g} °F"
