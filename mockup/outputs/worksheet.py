"""The work sheet for the bench: large type, few words, boxes to tick, cautions at every step."""

from mockup.outputs.plan.bookings import Booking, moment_text
from mockup.outputs.sheet import ACCENT, INK, Paper, Sheet, Type
from mockup.outputs.worksheet_facts import BenchAmount, WorkSheetFacts
from mockup.outputs.worksheet_words import AT_THE_BENCH, DEFER

__all__ = ["lay_out_worksheet"]

BLACK, WHITE = (0, 0, 0), (255, 255, 255)
HEADING = Type("semibold", 11, 5, ACCENT, spacing_pt=1.0)
TITLE = Type("semibold", 27, 10.5, BLACK)
STEP = Type("semibold", 17, 7, BLACK)
TIME = Type("semibold", 14, 6, INK)
AMOUNT = Type("semibold", 15, 6.6, BLACK)
BODY = Type("regular", 14, 6, BLACK)
SENTENCE = Type("regular", 12, 5.2, BLACK)
CAUTION = Type("semibold", 12, 5, WHITE)
FOOT = Type("semibold", 10, 4.4, INK)

MARGIN_MM = 14.0
INDENT_MM = 16.0  # room for a step's number
BOX_MM = 9.0
_MOST_BOXES = 6  # a larger batch is ticked once
_RULE_MM, _GAP_MM = 2.0, 4.5  # above the line below a step, and below it
_IN_FULL, _HEAD_MM = "CAUTIONS, IN FULL", 10.0
_LEAST_CAUTIONS = 2  # that stand below their heading, or it goes over the page


def lay_out_worksheet(facts: WorkSheetFacts, *, paper: Paper = "a4") -> bytes:
    """Lay the work sheet out as a PDF; every batch of cups begins on a page of its own.

    The same facts give the same bytes.

    Raises
    ------
    OutputError
        A text holds letters that the sheet's font lacks.
    """
    sheet = Sheet(paper, f"{facts.revision.title}: work sheet {facts.revision.short}", lenient=True)
    pages = _Pages(sheet, facts)
    for batch in range(len(facts.days.batches)):
        pages.begin(first=batch == 0, batch=batch)
        pages.steps(batch)
    pages.cautions()
    return sheet.finished()


class _Pages:
    """Pages filled from the top down; a step is never torn apart by a page's end."""

    def __init__(self, sheet: Sheet, facts: WorkSheetFacts) -> None:
        self.sheet, self.facts = sheet, facts
        self.width = self.foot = self.y = 0.0

    def begin(self, *, first: bool, batch: int) -> None:
        """A batch's first page: the very first with the picture."""
        label = self.facts.days.batches[batch].label
        self._turn_page("WORK SHEET" if first else f"WORK SHEET, {label.upper()}")
        if first:
            self._head(label)
        else:
            self._times(MARGIN_MM, self.width, batch)
        self.y += 2
        self._rule()

    def steps(self, batch: int) -> None:
        """Every step of a batch; a sanding that the plan put in has no amounts of its own."""
        own = [b for b in self.facts.days.bookings if b.batch == batch]
        known = {step: i for i, step in enumerate(self.facts.days.batches[batch].steps)}
        for number, booking in enumerate(own, start=1):
            index = known.get(booking.step)
            amounts = () if index is None else self.facts.amounts[batch][index]
            self._step(number, booking, amounts)

    def cautions(self) -> None:
        """After the last step: whole sentences, on from page to page."""
        heights = [
            self.sheet.height_of(self.width - 7, text, SENTENCE) + 2.5
            for text in self.facts.cautions
        ]
        if self.y + _HEAD_MM + sum(heights[:_LEAST_CAUTIONS]) > self.foot:
            self._turn_page(_IN_FULL)
        else:
            self.sheet.line_of_text(MARGIN_MM, self.y + 5, _IN_FULL, HEADING)
            self.y += _HEAD_MM
        for text, height in zip(self.facts.cautions, heights, strict=True):
            if self.y + height > self.foot:
                self._turn_page(_IN_FULL)
            self.sheet.box(MARGIN_MM, self.y + 1.5, 2, 2, fill=BLACK)
            self.sheet.paragraph(MARGIN_MM + 7, self.y, self.width - 7, text, SENTENCE)
            self.y += height

    def _turn_page(self, heading: str) -> None:
        page_width, page_height = self.sheet.page()
        self.width, self.foot = page_width - 2 * MARGIN_MM, page_height - 21
        self.sheet.line_of_text(MARGIN_MM, 15, heading, HEADING)
        revision = self.facts.revision
        name = f"{revision.title} · {revision.short} · {revision.standing.upper()}"
        self.sheet.line_of_text(MARGIN_MM, page_height - 9.5, name, FOOT)
        page = f"Page {self.sheet.page_number}"
        self.sheet.line_of_text(page_width - MARGIN_MM, page_height - 9.5, page, FOOT, "right")
        self.sheet.line_of_text(MARGIN_MM, page_height - 14.5, DEFER, FOOT)
        self.y = 20.0

    def _head(self, label: str) -> None:
        sheet, facts, top = self.sheet, self.facts, self.y
        rows, columns = facts.picture.shape[:2]
        high = 76.0
        wide = min(high * columns / rows, 62.0)
        high = wide * rows / columns
        sheet.picture(facts.picture, MARGIN_MM, top, wide, high)
        x, width = MARGIN_MM + wide + 8, self.width - wide - 8
        self.y = sheet.paragraph(x, top, width, facts.revision.title, TITLE) + 1
        self.y = sheet.paragraph(x, self.y, width, f"{label} · {facts.palette}", BODY)
        text = f"Revision {facts.revision.short}"
        self.y = sheet.paragraph(x, self.y, width, text, BODY) + 2
        approval = facts.revision.standing.upper()
        tall = sheet.height_of(width - 8, approval, TIME) + 5
        sheet.box(x, self.y, width, tall, stroke=BLACK)
        sheet.paragraph(x + 4, self.y + 2.5, width - 8, approval, TIME)
        self.y += tall + 4
        self._times(x, width, 0)
        self.y = max(self.y, top + high) + 2
        self.y = sheet.paragraph(
            MARGIN_MM, self.y, self.width, f"Full fingerprint {facts.revision.fingerprint}", FOOT
        )

    def _times(self, x: float, width: float, batch: int) -> None:
        days, sheet = self.facts.days, self.sheet
        first = next(b for b in days.bookings if b.batch == batch)
        told = [f"Begin {moment_text(first.starts)}", f"Ready {moment_text(days.ready_of[batch])}"]
        if days.due is not None:
            told.append(f"Due {moment_text(days.due)}")
        for text in told:
            self.y = sheet.paragraph(x, self.y, width, text, TIME)
        if days.late and batch == 0:
            self.y = sheet.paragraph(x, self.y + 1, width, f"{days.late}.", BODY)

    def _rule(self) -> None:
        ends = [(MARGIN_MM, self.y), (MARGIN_MM + self.width, self.y)]
        self.sheet.line(ends, BLACK, 0.5)
        self.y += _GAP_MM

    def _step(self, number: int, booking: Booking, amounts: tuple[BenchAmount, ...]) -> None:
        cups = self.facts.days.batches[booking.batch].cups
        boxes = cups if cups <= _MOST_BOXES else 1
        x = MARGIN_MM + INDENT_MM
        room = self.width - INDENT_MM
        column = room - boxes * (BOX_MM + 2) - 3
        words = _waiting(booking)
        strip = " · ".join(AT_THE_BENCH.get(booking.step.kind, ()))
        height = self.sheet.height_of(column, booking.step.title, STEP) + TIME.leading_mm + 1
        height = max(height, BOX_MM + 6)
        height += sum(self._amount_height(amount, room) for amount in amounts)
        height += sum(self.sheet.height_of(room, text, style) for text, style in words) + 1
        height += self.sheet.height_of(room - 6, strip, CAUTION) + 4 if strip else 0
        if self.y + height + _RULE_MM > self.foot:
            self._turn_page(f"WORK SHEET, {self.facts.days.batches[booking.batch].label.upper()}")
        top = self.y
        self.sheet.line_of_text(MARGIN_MM, top + 6.2, str(number), TITLE)
        self._boxes(boxes, cups, self.facts.days.batches[booking.batch].first_cup, top)
        self.y = self.sheet.paragraph(x, top, column, booking.step.title, STEP)
        self.y = self.sheet.paragraph(x, self.y, column, _when(booking), TIME) + 1
        self.y = max(self.y, top + BOX_MM + 6)
        for amount in amounts:
            self._amount(amount, x, room)
        for text, style in words:
            self.y = self.sheet.paragraph(x, self.y, room, text, style)
        self.y += 1
        if strip:
            tall = self.sheet.height_of(room - 6, strip, CAUTION) + 3
            self.sheet.box(x, self.y, room, tall, fill=BLACK, radius_mm=1.5)
            self.sheet.paragraph(x + 3, self.y + 1.5, room - 6, strip, CAUTION)
            self.y += tall + 1
        self.y += _RULE_MM
        self._rule()

    def _boxes(self, boxes: int, cups: int, first: int, top: float) -> None:
        """A box for each cup, numbered below where there are several."""
        right = MARGIN_MM + self.width
        for i in range(boxes):
            left = right - (boxes - i) * (BOX_MM + 2) + 2
            self.sheet.box(left, top, BOX_MM, BOX_MM, stroke=BLACK)
            self.sheet.box(left + 0.3, top + 0.3, BOX_MM - 0.6, BOX_MM - 0.6, stroke=BLACK)
            if boxes > 1:
                middle = left + BOX_MM / 2
                self.sheet.line_of_text(middle, top + BOX_MM + 4.3, str(first + i), FOOT, "centre")
        if boxes == 1 < cups:
            self.sheet.line_of_text(right, top + BOX_MM + 4.3, f"all {cups}", FOOT, "right")

    def _amount_height(self, amount: BenchAmount, room: float) -> float:
        return self.sheet.height_of(room - 62, amount.label, BODY) + 0.6

    def _amount(self, amount: BenchAmount, x: float, room: float) -> None:
        """Label at the left, the figure large at the right."""
        below = self.sheet.paragraph(x, self.y, room - 62, amount.label, BODY) + 0.6
        figure = f"{_figure(amount.amount)} {amount.unit}".strip()
        text = f"{figure} = {amount.aside}" if amount.aside else figure
        self.sheet.line_of_text(x + room, self.y + 4.7, text, AMOUNT, "right")
        self.y = below


def _when(booking: Booking) -> str:
    minutes = round((booking.ends - booking.starts).total_seconds() / 60)
    if booking.step.kind == "cure":
        return f"Until {moment_text(booking.next_from)}"
    return f"{moment_text(booking.starts)} · {minutes} min"


def _waiting(booking: Booking) -> list[tuple[str, Type]]:
    """What comes after, and why it is at this time."""
    told = []
    if booking.step.kind != "cure" and booking.next_from > booking.ends:
        told.append((f"Next step from {moment_text(booking.next_from)}", BODY))
    if booking.next_until is not None:
        told.append((f"Without sanding no later than {moment_text(booking.next_until)}", TIME))
    if booking.note:
        told.append((f"{booking.note[:1].upper()}{booking.note[1:]}.", BODY))
    return told


def _figure(amount: float) -> str:
    """Three figures that can be measured out at a bench."""
    if amount == int(amount):
        return f"{amount:.0f}"
    return (
        f"{amount:.0f}" if amount >= 100 else f"{amount:.1f}" if amount >= 10 else f"{amount:.2f}"
    )
