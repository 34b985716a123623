"""What the model says about a cohort, stored; a page never runs the model."""

from datetime import date

from django.db import models
from django.db.models import Q


class Estimate(models.Model):
    """MC now (mean, shell, core, 80% interval) of a cohort; a superseded estimate keeps no daily path."""

    cohort = models.ForeignKey("yard.Cohort", on_delete=models.CASCADE, related_name="estimates")
    as_of = models.DateField()
    computed_at = models.DateTimeField()
    is_current = models.BooleanField(default=True)
    mean_pct = models.FloatField()
    mean_low_pct = models.FloatField()
    mean_high_pct = models.FloatField()
    shell_pct = models.FloatField()
    core_pct = models.FloatField()
    core_low_pct = models.FloatField()
    core_high_pct = models.FloatField()
    rate_pct_day = models.FloatField(default=0, help_text="Mean MC lost a day over the last week.")
    safe_rate_pct_day = models.FloatField(null=True)
    path = models.JSONField(default=dict, help_text="Daily columns for the chart; empty once superseded.")
    narrow = models.JSONField(default=list, help_text="What would narrow it, most first.")
    reasons = models.JSONField(default=list)
    conflicts = models.JSONField(default=list)
    inputs = models.JSONField(default=dict, help_text="What it was computed from.")
    posterior = models.JSONField(default=dict)
    because = models.CharField(max_length=120, blank=True, help_text="What made it be computed.")

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["cohort"], condition=Q(is_current=True), name="one_current_estimate"),
        ]
        indexes = [
            models.Index(fields=["cohort", "-computed_at"], name="estimate_newest"),
            models.Index(fields=["is_current", "mean_pct"], name="estimate_by_mc"),
        ]

    def __str__(self):
        return f"{self.mean_pct:.1f}% on {self.as_of}"

    def mean_on(self, day: date) -> float | None:
        """The mean MC on a day of the stored path, past or to come; None outside it."""
        if not self.path:
            return None
        row = (day - date.fromisoformat(self.path["first"])).days
        return self.path["mid"][row] if 0 <= row < len(self.path["mid"]) else None


class EstimateTarget(models.Model):
    """When a cohort reaches a target MC, with an 80% interval; empty dates: not within the horizon."""

    estimate = models.ForeignKey(Estimate, on_delete=models.CASCADE, related_name="targets")
    target_mc_pct = models.FloatField()
    is_own = models.BooleanField(default=False, help_text="The target that the stack is meant for.")
    reached_now = models.FloatField(default=0, help_text="Probability that it is reached today, 0 to 1.")
    low_on = models.DateField(null=True)
    mid_on = models.DateField(null=True)
    high_on = models.DateField(null=True)
    reason = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["-target_mc_pct"]
        constraints = [models.UniqueConstraint(fields=["estimate", "target_mc_pct"], name="estimate_target_once")]
        indexes = [models.Index(fields=["is_own", "mid_on"], name="target_by_date")]

    def __str__(self):
        return f"{self.target_mc_pct:g}% by {self.mid_on}"
