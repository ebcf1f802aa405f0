"""Names of countries, in the language in force."""

from django.utils import translation

from repairs.law.countries import country_choices, country_name, is_country


def test_a_country_is_named_in_the_language_in_force():
    with translation.override("en"):
        assert country_name("DE") == "Germany"
    with translation.override("fr"):
        assert country_name("DE") == "Allemagne"


def test_what_is_no_country_keeps_its_letters():
    assert country_name("XX") == "XX"
    assert country_name("") == ""
    assert not is_country("XX")
    assert not is_country("fr")


def test_countries_are_offered_in_the_order_of_their_names():
    with translation.override("fr"):
        names = [name for _code, name in country_choices()]
    assert len(names) == 249  # ISO 3166-1, from memory
    assert names.index("Érythrée") < names.index("Espagne") < names.index("États-Unis")
