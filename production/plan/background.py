"""Start a process of its own that works a plan out; it goes on when the page is left and when the server restarts."""

import os
import subprocess
import sys

from django.conf import settings

from production.plan.actions.working import work_plan
from production.plan.models import PlanRun


def work_in_background(run: PlanRun) -> None:
    """Start the work and return at once; where the machine allows no further process, the work is done here."""
    if not settings.PLAN_IN_BACKGROUND:
        work_plan(run_id=run.pk)
        return
    line = [sys.executable, str(settings.BASE_DIR / "manage.py"), "work_plan", str(run.pk)]
    try:
        subprocess.Popen(  # noqa: S603
            line,
            cwd=settings.BASE_DIR,
            stdin=subprocess.DEVNULL,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
            env=os.environ | {"SOAPSHOP_DEMO": "1" if settings.DEMO else "0", "SOAPSHOP_NO_VENV": "1"},
            start_new_session=True,
        )
    except OSError:
        work_plan(run_id=run.pk)
