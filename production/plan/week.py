"""One week at the bench as a list to print: each open day with its minutes and its steps, each closed one with why."""

from collections import defaultdict
from dataclasses import dataclass
from datetime import date, timedelta

from production.batches.faces import PourFace, pour_faces, with_pour_plans
from production.batches.models import StepRecord
from production.batches.plan_reads import LIVE
from production.plan.models import WorkWeek
from production.plan.work_days import bench_days, current_work_days


@dataclass(frozen=True)
class WeekDay:
    """`room` are the bench minutes there are, 0 on a closed day."""

    day: date
    room: int
    why_closed: str
    steps: tuple[StepRecord, ...]
    faces: tuple[PourFace, ...] = ()

    @property
    def minutes(self) -> int:
        return sum(step.minutes for step in self.steps)

    @property
    def is_over(self) -> bool:
        return self.minutes > self.room


@dataclass(frozen=True)
class WeekList:
    days: tuple[WeekDay, ...]

    @property
    def first(self) -> date:
        return self.days[0].day

    @property
    def last(self) -> date:
        return self.days[-1].day

    @property
    def before(self) -> date:
        return self.first - timedelta(days=7)

    @property
    def after(self) -> date:
        return self.first + timedelta(days=7)

    @property
    def steps(self) -> int:
        return sum(len(day.steps) for day in self.days)

    @property
    def minutes(self) -> int:
        return sum(day.minutes for day in self.days)


def week_list(day: date) -> WeekList:
    """Return the week, Monday to Sunday, that this day lies in."""
    monday = day - timedelta(days=day.weekday())
    days = [monday + timedelta(days=ahead) for ahead in range(7)]
    week = WorkWeek.current()
    calendar = current_work_days(week)
    room = {each.day: each.minutes for each in bench_days(week, calendar, first=monday, days=7)}
    steps: defaultdict[date, list[StepRecord]] = defaultdict(list)
    planned = StepRecord.objects.filter(
        done_on__isnull=True, due_on__range=(days[0], days[-1]), batch__status__in=[state.value for state in LIVE]
    )
    planned = with_pour_plans(planned).order_by("due_on", "batch__number")
    for step in planned:
        steps[step.due_on].append(step)
    faces = pour_faces(planned)
    return WeekList(
        tuple(
            WeekDay(each, room.get(each, 0), calendar.why_closed(each), tuple(steps[each]), faces.get(each, ()))
            for each in days
        )
    )
