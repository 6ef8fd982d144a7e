"""The words in which one part is said on a line, read into the document's form and back.

``16 x 8 metal, 20 ft, 2 elbow-90-square`` is a duct; what was not understood is named, never
passed over.  A number said with "about" is stated, one without is seen.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, fields
from typing import Any

from inchwater.app.visits.values import fact_text
from inchwater.errors import InputError, UnknownNameError
from inchwater.survey import Duct, Fact, Grille
from inchwater.survey import typed as reader
from inchwater.survey.typed_ducts import ABOUT, NUMBER, duct_of, unit_said
from inchwater.survey.typed_numbers import normal, without_fractions
from inchwater.units import SHOWN, System, unit

Document = dict[str, Any]

SIZE = rf"{NUMBER}\s*(?:[x×*]|\bby\b)\s*{NUMBER}(?:\s*-?\s*(inches|inch|in\b|\"|mm\b))?"
_COUNTS = {"a": 1, "an": 1, "one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6}
_COUNT = rf"(?:\b([0-9]|{'|'.join(_COUNTS)})\s*[x×]?\s+)?"
_FILLERS = re.compile(
    r"\b(?:runs?|ducts?|trunks?|long|in length|diameter|dia|round|rectangular|with|at|is|are|the|"
    r"of|hung|hanging|fittings?|each|and)\b|[,.:]"
)


@dataclass
class Words:
    """What is left of a description while the known words are taken out of it.

    ``where`` is the field's name for errors; ``units`` the page's units for a bare number.
    """

    where: str
    text: str
    units: System

    def __post_init__(self) -> None:
        self.text = without_fractions(normal(self.text).lower())

    def take(self, pattern: str) -> re.Match[str] | None:
        """The first place of a pattern, which is taken out of the text."""
        found = re.search(pattern, self.text)
        if found is not None:
            self.text = f"{self.text[: found.start()]} , {self.text[found.end() :]}"
        return found

    def one_of(self, choices: tuple[tuple[str, str], ...]) -> str | None:
        """The word of the choice that is said; InputError if two of them are."""
        said = [word for pattern, word in choices if self.take(rf"\b(?:{pattern})\b")]
        if len(said) > 1:
            raise InputError(
                where=self.where,
                came=" and ".join(said),
                right="one of the two can be",
                do="Take one of them away.",
            )
        return said[0] if said else None

    def size(self, before: str = "", check: bool = True, after: str = "") -> Document | None:
        """Width and height, after the word ``before`` and before ``after`` if there is one."""
        found = self.take(rf"{before}{SIZE}{after}")
        if found is None:
            return None
        first, second, spoken = found.groups()[-3:]
        name = unit_said(spoken) if spoken else SHOWN["length"][self.units][0]
        sides = [float(one.replace(",", ".")) for one in (first, second)]
        if check:
            reader.parse_size(self.where, f"{sides[0]:g} x {sides[1]:g} {name}", name)
        return {
            key: {"value": value, "unit": name, "how": "seen"}
            for key, value in zip(("width", "height"), sides, strict=True)
        }

    def finish(self, hint: str) -> None:
        """Refuse what was not understood.

        Raises
        ------
        InputError
            With the words that are left, and what could have been said.
        """
        left = " ".join(_FILLERS.sub(" ", ABOUT.sub(" ", self.text)).split())
        if left:
            raise InputError(
                where=self.where, came=f"'{left}'", right="this was not understood", do=hint
            )


# --- a duct ---------------------------------------------------------------------------------------

DUCT_HINT = (
    "Say the size (14-inch, or 16 x 8), the length in feet, flex, metal, duct board, lined or PVC, "
    "how flex hangs, and fittings by their keys."
)


def duct_said(words: Words) -> Document:
    """A duct in the document's form; what was not said is not in it."""
    fittings = _fittings(words)
    kind = _register_kind(words)
    if words.units == "si":
        # Sides without a unit are inches to a technician, and millimetres on a page in SI.
        words.text = re.sub(SIZE, _in_millimetres, words.text)
    try:
        duct, words.text = duct_of(words.where, words.text)
    except InputError as error:
        if error.do.startswith("Make two groups"):
            error.do = "A line is for one part: give the other one a line of its own."
        raise
    said = duct_document(duct)
    if kind is not None and "register" in said:
        said["register"]["kind"] = kind
    if fittings is not None:
        said["fittings"] = fittings
    return said


def duct_document(duct: Duct) -> Document:
    """A duct as the document holds it; what is unknown is not in it."""
    return {
        field.name: _held(value)
        for field in fields(duct)
        if (value := getattr(duct, field.name)) is not None
    }


def _held(value: Any) -> Any:
    if isinstance(value, Fact):
        return {"value": value.value, "unit": value.unit, "how": value.how.value}
    if isinstance(value, Grille):
        held = {field.name: getattr(value, field.name) for field in fields(value)}
        return {key: _held(one) for key, one in held.items() if one is not None}
    return list(value) if isinstance(value, tuple) else value


def _in_millimetres(found: re.Match[str]) -> str:
    return found.group() if found[3] else f"{found.group()} mm"


def _register_kind(words: Words) -> str | None:
    """The kind of the register, which is taken out; its size stays."""
    kinds = _registers()
    for pattern in (
        rf"(\bregister\s+{SIZE})\s+({kinds})\b",
        rf"({SIZE})\s+({kinds})(?=\s+register)",
    ):
        if found := re.search(pattern, words.text):
            words.text = words.text.replace(found.group(), found[1], 1)
            return f"register-{found[5].replace(' ', '-')}"
    return None


def duct_words(duct: Document, system: System) -> list[str]:
    """A duct as it could be typed."""
    words = []
    if "width" in duct and "height" in duct:
        oval = " oval" if duct.get("shape") == "oval" else ""
        words.append(size_words(duct, system) + oval)
    for key, quantity in (("diameter", "length"), ("length", "run_length")):
        if key in duct:
            about = "about " if duct[key]["how"] == "stated" else ""
            words.append(about + length_words(duct[key], quantity, system))
    hung = " ".join(duct[key] for key in ("slack", "material") if key in duct)
    if hung:
        words.append(hung)
    if "sag" in duct:
        sag = f"sag {length_words(duct['sag'], 'length', system)}"
        if "spacing" in duct:
            sag += f" every {length_words(duct['spacing'], 'run_length', system)}"
        words.append(sag)
    if "damper" in duct:
        words.append(f"damper {fact_text(duct['damper'], 'angle', system)}°")
    words += _fitting_words(duct)
    face = duct.get("register", {})
    if "width" in face and "height" in face:
        kind = face.get("kind", "").removeprefix("register-").replace("-", " ")
        words.append(f"register {size_words(face, system)} {kind}".strip())
    return words


def size_words(face: Document, system: System) -> str:
    """``20 × 25`` in the page's unit of sizes, with the unit where it could be mistaken."""
    sides = " × ".join(fact_text(face[side], "length", system) for side in ("width", "height"))
    return f"{sides} {unit(SHOWN['length'][system][0]).label}"


def length_words(fact: Document, quantity: str, system: System) -> str:
    """``14 in`` or ``12 ft`` as it could be typed."""
    return f"{fact_text(fact, quantity, system)} {unit(SHOWN[quantity][system][0]).label}"


def _registers() -> str:
    from inchwater.parts.terminals import TERMINALS

    kinds = [key.removeprefix("register-") for key in TERMINALS if key.startswith("register-")]
    return "|".join(kind.replace("-", "[ -]") for kind in sorted(kinds, key=len, reverse=True))


def _fittings(words: Words) -> list[str] | None:
    from inchwater.parts.fittings import FITTINGS

    if words.take(r"\bno fittings\b"):
        return []
    keys = sorted(FITTINGS, key=len, reverse=True)
    spoken = {key.replace("-", " "): key for key in keys}
    pattern = "|".join(re.escape(key).replace(r"\-", "[ -]") for key in keys)
    whole = re.compile(rf"{_COUNT}(?<![\w-])({pattern})(?:es|s)?(?![\w-])")
    found: list[str] = []
    for one in whole.finditer(words.text):
        count = _COUNTS.get(one[1] or "one") or int(one[1])
        found += [spoken[one[2].replace("-", " ")]] * count
    words.text = whole.sub(" , ", words.text)
    if wrong := re.search(r"\b((?:elbow|boot|take-off|flex-bend|junction)-[\w-]+)", words.text):
        raise UnknownNameError(
            where=words.where,
            came=repr(wrong[1]),
            right="it is no fitting of the list under “Fittings on each run”",
            do="Copy the key from there.",
        )
    return found or None


def _fitting_words(duct: Document) -> list[str]:
    keys = duct.get("fittings")
    if keys is None:
        return []
    if not keys:
        return ["no fittings"]
    counts: dict[str, int] = {}
    for key in keys:
        counts[key] = counts.get(key, 0) + 1
    return [key if count == 1 else f"{count} {key}" for key, count in counts.items()]
