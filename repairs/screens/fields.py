"""Form fields that take what people type: a comma or a point, spaces, a unit shown beside."""

from __future__ import annotations

from decimal import Decimal, InvalidOperation
from typing import Any

from django import forms
from django.core.validators import MaxValueValidator, MinValueValidator
from django.forms.utils import flatatt
from django.utils.functional import Promise, lazy
from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString
from django.utils.text import format_lazy
from django.utils.translation import gettext_lazy as _
from django.utils.translation import pgettext_lazy

from repairs.language.pitch import FORK_HZ, PitchError, read_pitch
from repairs.language.pitch_words import fault_words, octave_words
from repairs.language.text import decimal_words

RH_UNIT = format_lazy("% {}", pgettext_lazy("relative humidity, after %", "RH"))
SPACES = str.maketrans("", "", " \u00a0\u202f'")


def air_words(t_c: Decimal | None, rh_pct: Decimal | None) -> str:
    """The air of a room, in °C and % of relative humidity: “19.5 °C, 52 % RH”; what is known."""
    warmth = "" if t_c is None else f"{decimal_words(t_c)}\u00a0°C"
    humidity = "" if rh_pct is None else f"{decimal_words(rh_pct)}\u00a0{RH_UNIT}"
    return ", ".join(one for one in (warmth, humidity) if one)


def read_decimal(words: object) -> Decimal | None:
    """Read a typed number with a comma or a point; None when nothing was typed.

    Raises ValidationError with a sentence that repeats what was typed.
    """
    text = "" if words is None else str(words).translate(SPACES).replace(",", ".")
    if not text:
        return None
    try:
        number = Decimal(text)
    except InvalidOperation:
        number = Decimal("NaN")
    if not number.is_finite():
        raise forms.ValidationError(
            _("“%(words)s” is not a number. Write it with a comma or a point, such as 345,5."),
            params={"words": words},
        )
    return number


class QuantityField(forms.DecimalField):
    """A number with a unit, between two limits, typed with a comma or a point."""

    def __init__(
        self, *, unit: str | Promise, least: str, most: str, places: int = 2, **kwargs: Any
    ) -> None:
        too_little = format_lazy(
            _("Less than {least} is not possible here."), least=_with_unit(least, unit)
        )
        check_unit = _("More than {most} is not possible here: check the unit.")
        check_figure = _("More than {most} is not possible here: check the figure.")
        too_much = format_lazy(check_unit if unit else check_figure, most=_with_unit(most, unit))
        kwargs.setdefault("required", False)
        super().__init__(
            max_digits=12,
            decimal_places=places,
            validators=[
                MinValueValidator(Decimal(least), too_little),
                MaxValueValidator(Decimal(most), too_much),
            ],
            widget=forms.TextInput(attrs={"inputmode": "decimal", "data-unit": unit}),
            **kwargs,
        )
        self.unit = unit

    def to_python(self, value: Any) -> Decimal | None:  # type: ignore[override] # stubs: int
        """The number as typed, with comma or point. Raises ValidationError."""
        return read_decimal(value)

    def prepare_value(self, value: Any) -> Any:
        """The number as the reader's language writes it."""
        if isinstance(value, Decimal):
            return decimal_words(value)
        return value


class PitchField(QuantityField):
    """A pitch in Hz or as a note, in equal temperament from the fork of 440 Hz (ISO 16)."""

    def __init__(self, *, least: str, most: str, **kwargs: Any) -> None:
        super().__init__(unit="Hz", least=least, most=most, **kwargs)
        self.ends_hz = float(least), float(most)
        # A keyboard of figures has no letters.
        self.widget.attrs["inputmode"] = "text"

    def to_python(self, value: Any) -> Decimal | None:  # type: ignore[override] # stubs: int
        """The pitch in Hz, to a hundredth. Raises ValidationError."""
        typed = str(value or "").strip()
        if not typed or typed[0] in "0123456789+-−.,":
            return super().to_python(typed.lower().removesuffix("hz"))
        try:
            pitch = read_pitch(typed, self.ends_hz)
        except PitchError as fault:
            raise forms.ValidationError(fault_words(fault, typed, FORK_HZ)) from fault
        if pitch.is_asked:
            raise forms.ValidationError(octave_words(pitch, typed))
        return round(Decimal(pitch.hz), 2)


def _with_unit(limit: str, unit: str | Promise) -> Any:
    """The limit as the reader writes it, with its unit behind it if it has one.

    The validators fill their sentence once more: a per cent sign must come doubled.
    """

    def words() -> str:
        figure, sign = decimal_words(Decimal(limit)), str(unit).replace("%", "%%")
        return f"{figure} {sign}" if sign else figure

    return lazy(words, str)()


def millimetres(label: Any = None, **kwargs: Any) -> QuantityField:
    """A length that can be found on an instrument: up to five metres."""
    return QuantityField(unit="mm", least="0.01", most="4999", label=label, **kwargs)


class LeanSelect(forms.Select):
    """A list written in one go; with a template for each option, a table of lists takes seconds."""

    def render(
        self, name: str, value: Any, attrs: dict[str, Any] | None = None, renderer: Any = None
    ) -> SafeString:
        """The list in one string: hundreds of options through templates take too long."""
        chosen = self.format_value(value)
        rows = (
            (flatatt({"value": key, "selected": str(key) in chosen}), label)
            for key, label in self.choices
        )
        options = format_html_join("\n", "<option{}>{}</option>", rows)
        own = self.build_attrs(self.attrs, {"name": name, **(attrs or {})})
        return format_html("<select{}>\n{}</select>", flatatt(own), options)


class LocalMomentInput(forms.DateTimeInput):
    """A moment in the person's own time zone, by the browser's own picker."""

    input_type = "datetime-local"

    def __init__(self, attrs: dict[str, Any] | None = None) -> None:
        super().__init__(attrs, format="%Y-%m-%dT%H:%M")


class DayInput(forms.DateInput):
    """A day as the browser asks for it, whatever the language."""

    input_type = "date"

    def __init__(self, attrs: dict[str, Any] | None = None) -> None:
        super().__init__(attrs, format="%Y-%m-%d")
