"""The one record of an answer: what was asked, what came out, and where it comes from."""

from ropewright.findings.model import (
    SEVERITY,
    Finding,
    Place,
    Remedy,
    Source,
    SourceStatus,
    Verdict,
    worst,
)

__all__ = ["SEVERITY", "Finding", "Place", "Remedy", "Source", "SourceStatus", "Verdict", "worst"]
