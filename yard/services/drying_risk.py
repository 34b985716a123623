"""When a stored estimate says that wood is drying too fast, standing still, or taking up water."""

from django.db.models import F, Q

from yard.models import Estimate
from yard.wood.safe_rate import LIMIT_IDLE_BELOW_PCT

# % MC a day; what the weather does to any pile from day to day is less (our own limits, no source)
REWETS_PCT_DAY, STILL_PCT_DAY = 0.03, 0.02
BESIDE_TARGET_PCT = 1.0

# The same as conditions on a Cohort's newest estimate, for lists. The safe rate counts while wood is wet: under
# 15% MC it dries slower than its limit by itself (data/safe_rate_notes.csv).
TOO_FAST = Q(estimate__rate_pct_day__gt=F("estimate__safe_rate_pct_day"), estimate__mean_pct__gte=LIMIT_IDLE_BELOW_PCT)
REWETS = Q(estimate__rate_pct_day__lt=-REWETS_PCT_DAY)


def dries_too_fast(estimate: Estimate) -> bool:
    """Whether the mean MC falls faster than the wood's safe rate, while that still matters."""
    safe = estimate.safe_rate_pct_day
    return safe is not None and estimate.rate_pct_day > safe and estimate.mean_pct >= LIMIT_IDLE_BELOW_PCT
