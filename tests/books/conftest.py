from tests.books.year import by, lived, odette, year, year_once  # noqa: F401 - fixtures
