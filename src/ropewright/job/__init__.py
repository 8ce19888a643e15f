"""A job: its file, what is worked out from it and what would mend it."""

from ropewright.job.assess import assess
from ropewright.job.assessment import Assessment
from ropewright.job.changes import changed
from ropewright.job.file import job_from_mapping, read_job
from ropewright.job.model import Job
from ropewright.job.template import new_job_text

__all__ = ["Assessment", "Job", "assess", "changed", "job_from_mapping", "new_job_text", "read_job"]
