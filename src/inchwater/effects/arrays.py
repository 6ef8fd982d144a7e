"""Side effects as bare samples, for whoever holds them against bounds many times over.

The same laws and the same scatter as in :func:`side_effects`, so that both say the same.
"""

from __future__ import annotations

import zlib
from dataclasses import dataclass
from functools import cached_property

from inchwater.effects.conditions import Plate, conditions
from inchwater.effects.noise import Side
from inchwater.effects.of_heating import rises_of
from inchwater.effects.of_noise import change_of, level_of
from inchwater.effects.openings import Opening, Place, openings
from inchwater.effects.pair import Array, Pair
from inchwater.forecast import Prediction
from inchwater.quantity import Said, said

_Found = tuple[Place, Opening | None, Opening | None]


@dataclass(frozen=True)
class EffectArrays:
    """What side effects come to in every sample; each law is worked out when it is asked for."""

    pair: Pair
    compared: bool = True

    @classmethod
    def of(cls, before: Prediction, after: Prediction, job_id: str = "") -> EffectArrays:
        """Of two forecasts of one posterior in one call; the same twice where nothing changes.

        Parameters
        ----------
        before, after : Prediction
            As found and with the changes.
        job_id : str
            The job's id: the stream of the scatter, as of :func:`side_effects`.

        Raises
        ------
        InputError
            If the two are not of one posterior.
        """
        return cls(Pair.of(before, after, zlib.crc32(job_id.encode())))

    @classmethod
    def alone(cls, prediction: Prediction, job_id: str = "") -> EffectArrays:
        """Of one forecast with nothing to compare it with, so that only levels can be told."""
        return cls(Pair.of(prediction, prediction, zlib.crc32(job_id.encode())), compared=False)

    @cached_property
    def _openings(self) -> dict[tuple[str, str], _Found]:
        sides: tuple[Side, Side] = ("supply", "return")
        return {(side, found[0].id): found for side in sides for found in openings(self.pair, side)}

    def level(self, side: Side, id_: str) -> Array | Said:
        """What a register (of run ``id_``) or grille comes to in its room (sample,). [NC]

        Why nobody knows, in words, where it cannot be told.
        """
        found = self._openings.get((side, id_))
        return _not_there() if found is None else level_of(self.pair, *found)

    def louder(self, side: Side, id_: str) -> Array | Said:
        """How much louder it is after than before (sample,) [dB], or why nobody knows."""
        if not self.compared:
            return said("There is nothing to compare with: the forecast as found is lacking.")
        found = self._openings.get((side, id_))
        return _not_there() if found is None else change_of(self.pair, *found)

    def rise(self, call: str) -> Array | Said:
        """Temperature rise of burner or elements after (sample,) [K], or why nobody knows."""
        survey = self.pair.after.survey
        altitude = 0.0 if survey.place.altitude is None else survey.place.altitude.si
        winter, plate = conditions("winter", altitude), Plate.of_survey(survey)
        found = rises_of(self.pair, call, survey, winter, plate)
        return found if isinstance(found, Said) else found[1]


def _not_there() -> Said:
    return said("It is not in the survey.")
