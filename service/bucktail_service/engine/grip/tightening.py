"""How a bolt is tightened and locked: threads, torque, cotter pin. Tables: bolt_series, torques, cotters."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from bucktail_service.engine.blocks import Block, rule_row
from bucktail_service.engine.grip.bolt_job import BoltJob
from bucktail_service.engine.grip.ladder import neighbours
from bucktail_service.engine.rounding import half_even, put
from bucktail_service.engine.torque import NEWTON_METRES
from bucktail_tables.model import Row

# the torque table is written for steel bolts with cadmium-plated threads (FAA AC 43.13-1B, Table 7-1)
TORQUED_FINISH = "cadmium"


@dataclass(frozen=True, slots=True)
class Torques:
    """Torques of a nut on a thread. [in lbf]

    Attributes:
        row: Row of torques.
        load: `tension` or `shear`, which column.
        least, most: From the table.
        allowable: The most the table allows.
        drag: Measured while running the nut down; None when not said.
    """

    row: Row
    load: str
    least: Fraction
    most: Fraction
    allowable: Fraction
    drag: Fraction | None

    @property
    def final(self) -> tuple[Fraction, Fraction] | None:
        """Least and most torque with the drag added (FAA AC 43.13-1B, 7-40d); None without drag."""
        return None if self.drag is None else (self.least + self.drag, self.most + self.drag)

    @property
    def is_over(self) -> bool:
        """True when the drag brings the torque over the most the table allows."""
        return self.drag is not None and self.most + self.drag > self.allowable


def find_torques(job: BoltJob) -> Torques | None:
    """Return the torques of a bolt's nut; None where its thread has no row, or the bolt is not of plated steel."""
    row = None if job.series is None else job.draft.edition["torques"].find(job.series.text("thread"))
    if row is None or job.draft.choice.offered.text("material") != TORQUED_FINISH:
        return None
    load, drag = job.nut.load, job.draft.question.drag
    least, most, allowable = (row.number(f"{load}_{end}") for end in ("minimum", "maximum", "allowable"))
    return Torques(row, load, least, most, allowable, None if drag is None else drag.inch_pounds)


def torque_block(torques: Torques) -> Block:
    """Return the torque block. [in lbf, N m]"""
    low, high = torques.final or (None, None)
    block: Block = {"thread": torques.row.text("thread"), "load": torques.load}
    figures = {
        "minimum": torques.least,
        "maximum": torques.most,
        "drag": torques.drag,
        "final_minimum": low,
        "final_maximum": high,
        "allowable": torques.allowable,
    }
    for name, value in figures.items():
        block[f"{name}_in_lb"] = None if value is None else half_even(value, 2)
        block[f"{name}_n_m"] = None if value is None else half_even(value * NEWTON_METRES, 2)
    return block


def thread_block(job: BoltJob) -> Block:
    """Return the thread block: what lies in the hole and what stands past the nut, where the stack is thickest."""
    draft, series, per_inch = job.draft, job.series, job.per_inch
    block: Block = {
        "thread": None if series is None else series.text("thread"),
        "form": None if series is None else series.text("form") or None,
        "per_inch": None if per_inch is None else int(per_inch),
    }
    put(block, "length", None if series is None else series.maybe("thread_length_in"))
    put(block, "in_hole", job.in_hole)
    put(block, "past_nut", job.past_nut)
    put(block, "nut_height_maximum", job.nut_height_most)
    most = rule_row(draft.edition, "rules", f"thread_in_hole_{draft.practice}").number("value")
    block["in_hole_threads"] = _threads(job.in_hole, per_inch)
    block["in_hole_threads_maximum"] = half_even(most, 2)
    block["past_nut_threads"] = _threads(job.past_nut, per_inch)
    block["past_nut_threads_minimum"] = half_even(job.past_nut_least.number("value"), 2)
    return block


def thread_codes(job: BoltJob) -> list[str]:
    """Return the cautions of what stands past the nut: fewer threads than the practice wants, or more than usual."""
    if job.past_nut is None or job.per_inch is None:
        return []
    threads = job.past_nut * job.per_inch
    most = rule_row(job.draft.edition, "rules", "thread_past_nut_most").number("value")
    if threads < job.past_nut_least.number("value"):
        return ["thread-short"]
    # lengths are printed to a thousandth: a tenth of a thread is as fine as they tell
    return ["thread-long"] if round(threads, 1) > most and _shorter_would_do(job) else []


def _shorter_would_do(job: BoltJob) -> bool:
    """Return whether the next shorter bolt leaves no more thread in the hole than the practice allows."""
    shorter, _ = neighbours(job.draft.choice.standard, job.bolt, job.draft.edition)
    if shorter is None or job.per_inch is None:
        return False
    most = rule_row(job.draft.edition, "rules", f"thread_in_hole_{job.draft.practice}").number("value")
    return (job.draft.thickest - shorter.grip) * job.per_inch <= most


def find_cotter(job: BoltJob) -> Row | None:
    """Return the row of the cotter pin for a bolt's size; None where it has none."""
    return job.draft.edition["cotters"].find(job.draft.choice.fraction)


def cotter_block(row: Row | None, series: Row | None) -> Block:
    """Return the cotter block: pin and, where the bolt's sheet tells it, the hole."""
    block: Block = {
        "number": None if row is None else row.text("number"),
        "size": None if row is None else row.text("size"),
    }
    for end in ("minimum", "maximum"):
        put(block, f"hole_{end}", None if series is None else series.maybe(f"cotter_hole_{end}_in"))
    return block


def _threads(height: Fraction | None, per_inch: Fraction | None) -> float | None:
    return None if height is None or per_inch is None else half_even(height * per_inch, 2)
