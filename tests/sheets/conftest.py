"""What tests of the sheets share; made in `made_jobs`, which they may import from."""

from __future__ import annotations

from made_jobs import assessment, changed, metric_assessment

__all__ = ["assessment", "changed", "metric_assessment"]
