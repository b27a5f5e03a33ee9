"""Files dropped or chosen: read at once, and asked about on the map where they leave something open."""

from __future__ import annotations

import asyncio
from collections.abc import Mapping
from contextlib import ExitStack
from dataclasses import replace
from functools import partial
from typing import Any

from nicegui import background_tasks, ui
from nicegui.element import Element

from fieldplan.errors import FieldplanError, Problem, problem
from fieldplan.report.words.sentences import hint_sentence, sentence
from fieldplan.scratch import working_folder
from fieldplan.web.arrived import Arrived, label_of, sources_in
from fieldplan.web.brought import Brought, brought
from fieldplan.web.drawing import Place
from fieldplan.web.elements import button, choice, plain
from fieldplan.web.intake import Found, Holds, put_into, read
from fieldplan.web.jobs import Jobs
from fieldplan.web.lying_beside import outlines_beside, taken_from
from fieldplan.web.parts.where import post
from fieldplan.web.parts.where.board import FIRST_VIEW, Board
from fieldplan.web.parts.where.drop_box import DropBox, unsent
from fieldplan.web.parts.where.points import place_of
from fieldplan.web.parts.where.shown import shapes
from fieldplan.web.parts.where.typed import typed_box
from fieldplan.web.questions import Answer, Question, answered, near, question_about
from fieldplan.web.written import without_exclusion_keys

_HOLDS: tuple[tuple[Holds, str], ...] = (
    ("fields", "outlines of fields"),
    ("exclusions", "ground not planted"),
    ("guides", "guide lines"),
)
_MOST_NOTES = 12


class _Dropped:
    """What has been dropped on one page, and the question that is open."""

    def __init__(self, board: Board, asked: Element) -> None:
        self.board, self.asked = board, asked
        self.holds: Holds = "fields"
        self.question: Question | None = None
        self._left: list[Found] = []
        self._beside: tuple[str, ...] = ()
        self._folder = ExitStack()
        self._alone = asyncio.Lock()
        address = post.address_for(self.take)
        with plain("div"):
            label = plain("label", "Boundary files, loose or zipped, with or without a job file")
            box = DropBox(address)
            label.props["for"] = box.html_id
            plain(
                "small",
                "Or drop them on the page: all files of a loose Shapefile together, and a job with all its files.",
            )
        with plain("div"):
            choice("They hold", _HOLDS, "fields", self._meant)
        self.beside = plain("div")
        self._offer_beside()
        board.desk.listen("draft", self._offer_beside)
        self.noted = plain("div", "", "where-noted")
        box.on("sending", lambda _: board.say("Reading …"), args=[])
        box.on("refused", lambda said: self._refused(said.args))
        board.map.when("answered", lambda said: self._by_number(int(said["number"])))

        def end() -> None:
            post.close(address)
            self._folder.close()

        ui.context.client.on_delete(end)
        if arrived := post.taken_over(board.desk.name):
            background_tasks.create(self.take(arrived), name="files that the job was begun with")

    def _meant(self, text: str) -> None:
        self.holds = next((holds for holds, _ in _HOLDS if holds == text), "fields")

    def _offer_beside(self) -> None:
        """While no field is on the map: the files of outlines that lie in the job's folder."""
        desk = self.board.desk
        free = desk.read_only is None and not desk.draft.of_layer("fields")
        names = outlines_beside(desk.folder, desk.draft.tables) if free else ()
        if names == self._beside:
            return
        self._beside = names
        self.beside.clear()
        if names:
            with self.beside, plain("section"):
                plain("p", "No field is on the map yet. The folder of this job holds:")
                with plain("ul"):
                    for name in names:
                        with plain("li"):
                            button(f"put {label_of(name)} on the map", partial(self._take_beside, name))

    async def _take_beside(self, name: str) -> None:
        if (folder := self.board.desk.folder) is None:
            return
        try:
            arrived = await asyncio.to_thread(taken_from, folder, name)
        except (FieldplanError, OSError) as error:
            problems = error.problems if isinstance(error, FieldplanError) else [problem("dropped-nothing")]
            self.board.complain(problems)
            return
        await self.take(arrived)

    def _refused(self, said: Mapping[str, Any]) -> None:
        """The files were not even sent."""
        self.board.describe()
        self.board.complain([unsent(said)])

    async def take(self, arrived: tuple[Arrived, ...]) -> None:
        """Take files that have come: those that leave nothing open are on the map at once."""
        if self.board.desk.read_only is not None:
            return
        async with self._alone:
            self._close()
            holds = self.holds
            try:
                took, found = await asyncio.to_thread(self._read, arrived, holds)
            except FieldplanError as error:
                self.board.describe()
                self.board.complain(error.problems)
                return
            self._left = [one for one in found if one.problems]
            self._put([one for one in found if not one.problems], took.tables)
            await self._next()

    def _read(self, arrived: tuple[Arrived, ...], holds: Holds) -> tuple[Brought, list[Found]]:
        """Read what arrived; files that a job among it names are put beside the job of this page."""
        took = brought(arrived)
        folder = self.board.desk.folder
        found: list[Found] = []
        for files, they_hold in ((took.fields, holds), (took.exclusions, "exclusions")):
            if files:
                place = self._folder.enter_context(working_folder())
                found += [read(source, they_hold) for source in sources_in(files, place)]
        if took.beside and folder is not None:
            with working_folder() as place:
                for n, one in enumerate(took.beside):
                    (place / str(n)).write_bytes(one.content)
                given = {one.name: place / str(n) for n, one in enumerate(took.beside)}
                Jobs(folder.parent).put_beside(folder.name, given)
        return took, found

    def _put(self, found: list[Found], tables: Mapping[str, Any] | None = None) -> None:
        """Put what was read on the map, all of it in one step that can be undone, with the tables of a job file."""
        if not found and tables is None:
            return
        board = self.board
        draft, keys = board.desk.draft, list[str]()
        if tables is not None:
            draft = replace(draft, tables=without_exclusion_keys(tables))
        for one in found:
            draft, new = put_into(draft, one)
            keys += new
        board.change(draft)
        board.look_at([one.geometry for one in draft.ground if one.key in keys])
        board.desk.choose(keys[0] if len(keys) == 1 else "")
        labels = ", ".join(one.source.label for one in found)
        area = board.area(sum(one.area_m2 for one in found))
        n, noun = len(keys), "field" if all(one.fields for one in found) else "feature"
        said = [f"{labels}: {n} {noun}{'' if n == 1 else 's'}, {area}"] if found else []
        board.say(
            "; ".join([*said, *(["the job is filled in from its file"] if tables is not None else [])])
        )
        self._note([note for one in found for note in one.notes])

    def _note(self, notes: list[Any]) -> None:
        self.noted.clear()
        if notes:
            with self.noted, plain("details"):
                plain("summary", f"Noticed while reading ({len(notes)})")
                with plain("ul"):
                    for note in notes[:_MOST_NOTES]:
                        plain("li", sentence(note, self.board.q))
                    if len(notes) > _MOST_NOTES:
                        plain("li", f"and {len(notes) - _MOST_NOTES} more")

    # questions

    async def _next(self) -> None:
        """Ask about the next source that leaves something open."""
        self.question = None
        self._offer()
        if self._left:
            view = self.board.view
            found = self._left[0]
            self.question = await asyncio.to_thread(question_about, found, view)
            if not self.question.answers and self.question.asks_place and view != FIRST_VIEW:
                self.question = await asyncio.to_thread(question_about, found, FIRST_VIEW)
            self._offer()
        else:
            self._folder.close()

    def _offer(self) -> None:
        """Show the open question, its answers beside the map and on it."""
        board, question = self.board, self.question
        self.asked.clear()
        board.map.tell("offer", [], [], [])
        board.map.tell("asks", question is not None and question.asks_place)
        board.on_place = self._by_place if question is not None and question.asks_place else None
        board.asks = question is not None
        board.tell("sketch")
        if question is None:
            return
        can_be_used = bool(question.answers) or question.asks_place
        label = question.found.source.label
        title = f"A question about {label}" if can_be_used else f"{label} cannot be used as it is"
        with self.asked, plain("section", "", "where-question") as part:
            heading = plain("h3", title, tabindex="-1")
            part.props["aria-labelledby"] = heading.html_id
            for one in question.problems[:_MOST_NOTES]:
                plain("p", sentence(one, board.q))
            if question.asks_place:
                plain("p", "Click on the map about where it is, or choose one of the places shown.")
                typed_box(
                    "Or type a place near it", "", self._by_text, empties=True, hint="latitude, longitude"
                )
            elif not question.answers:
                for one in question.problems[:_MOST_NOTES]:
                    if hint := _without_options(one, board):
                        plain("p", f"Try: {hint}.")
            if question.answers:
                with plain("ol"):
                    for number, answer in enumerate(question.answers, start=1):
                        with plain("li"):
                            button(
                                sentence(answer.what, board.q),
                                partial(self._by_number, number),
                                "answer",
                            )
            button("Leave this file out", self._leave_out)
        answers = [_shown(n, one) for n, one in enumerate(question.answers, start=1)]
        places = [] if question.asks_place else [list(place) for place in question.doubtful]
        shared = [area for one in question.shared for area in shapes(one)["areas"]]
        board.map.tell("offer", answers, places, shared)
        board.look_at([drawn for one in question.answers for drawn in one.drawn])
        board.say(title)
        heading.run_method("focus")

    async def _by_number(self, number: int) -> None:
        question = self.question
        if question is None or not 1 <= number <= len(question.answers):
            self.board.complain([problem("dropped-answer-gone")])
            return
        answer = question.answers[number - 1]
        await self._go_on(await asyncio.to_thread(answered, question, answer))

    async def _by_place(self, place: Place) -> None:
        if self.question is not None:
            await self._go_on(await asyncio.to_thread(near, self.question, place))

    async def _by_text(self, text: str) -> None:
        try:
            place = place_of(text)
        except FieldplanError as error:
            self.board.complain(error.problems)
            return
        await self._by_place(place)

    async def _go_on(self, found: Found) -> None:
        """Take a source that was read anew: it is on the map, or there is another question."""
        async with self._alone:
            self.board.complain(())
            if found.problems:
                self._left[:1] = [found]
            else:
                self._left = self._left[1:]
                self._put([found])
            await self._next()
            if self.question is None:
                self.board.map.tell("focus")

    async def _leave_out(self) -> None:
        self._left = self._left[1:]
        await self._next()
        self.board.describe()

    def _close(self) -> None:
        self._left = []
        self.question = None
        self._offer()
        self.noted.clear()
        self.board.complain(())
        self._folder.close()


def _without_options(one: Problem, board: Board) -> str:
    """What to try, where that is not an option of the command line."""
    hint = hint_sentence(one, board.q)
    return "" if "--" in hint else hint


def _shown(number: int, answer: Answer) -> dict[str, Any]:
    """An answer as the map shows it."""
    drawn = [shapes(one) for one in answer.drawn]
    return {
        "number": number,
        "place": list(answer.place) if answer.place else None,
        "areas": [area for one in drawn for area in one["areas"]],
        "lines": [line for one in drawn for line in one["lines"]],
    }


def build(board: Board, asked: Element) -> None:
    """Build the choice of files.

    Parameters
    ----------
    asked
        Where questions about them are put.
    """
    _Dropped(board, asked)
