from html.parser import HTMLParser

import pytest

from planning.sheet import WIDTH, Entry, Section, Sheet, as_html, as_text
from tests.planning.evenings import EVENINGS, sheet_of

VOID = {"meta", "link", "img", "input", "br", "hr", "base", "embed", "source", "track", "wbr"}


class Page(HTMLParser):
    """A page taken apart: its tags, its attributes, and the words between them."""

    def __init__(self, html):
        super().__init__()
        self.open, self.tags, self.attributes, self.words = [], set(), set(), []
        self.feed(html)
        self.close()

    def handle_starttag(self, tag, attrs):
        self.tags.add(tag)
        self.attributes |= {name for name, _ in attrs}
        if tag not in VOID:
            self.open.append(tag)

    def handle_endtag(self, tag):
        assert self.open.pop() == tag

    def handle_data(self, data):
        if "head" not in self.open:
            self.words += data.split()


def spoken(text):
    """The words of the sheet in a terminal, without the lines that are drawn under headings."""
    lines = [line for line in text.splitlines() if set(line) - set("=- ")]
    return " ".join(lines).split()


def sheet(*sections, title="Tuesday beginners"):
    return Sheet(title, "17:00", "As known at 17:00.", sections, "The caution.")


ODD = sheet(
    Section(
        "Groups: <b>Lean</b> & “hold”",
        (
            Entry("Amara <i>K.</i> & Bao", "Group 1, turn 1", ("a 'line'", 'a "line" <br>')),
            Entry("no label"),
            Entry("", "Only a label"),
        ),
        leads=("{{ sheet.title }} {% now %}", "</section><script>alert(1)</script>"),
        kind="groups",
    ),
    title="</title><script src='x'>",
)


@pytest.mark.parametrize("name", EVENINGS)
def test_both_forms_say_the_same_words_in_the_same_order(name):
    made = sheet_of(name)
    assert Page(as_html(made)).words == spoken(as_text(made))


def test_both_forms_of_an_odd_sheet_say_the_same_too():
    assert Page(as_html(ODD)).words == spoken(as_text(ODD))


@pytest.mark.parametrize("name", EVENINGS)
def test_the_page_needs_nothing_beside_it(name):
    html = as_html(sheet_of(name))
    page = Page(html)
    assert page.open == []
    assert not page.tags & {"script", "link", "img", "iframe", "object", "embed", "base", "form"}
    assert page.attributes <= {"lang", "charset", "name", "content", "class"}
    style = html[html.index("<style>") : html.index("</style>")]
    assert not any(reach in style for reach in ("url(", "@import", "http", "//"))


def test_what_looks_like_a_page_is_text():
    html = as_html(ODD)
    page = Page(html)
    assert not page.tags & {"script", "b", "i", "br"}
    assert "&lt;b&gt;Lean&lt;/b&gt; &amp; “hold”" in html
    assert "{{ sheet.title }} {% now %}" in html
    assert page.open == []


def test_a_child_s_name_is_text():
    html = as_html(sheet_of("a name that looks like a page"))
    assert "&lt;b&gt;Amara&lt;/b&gt;" in html
    assert "<b>" not in html


def test_the_layout_knows_groups_by_their_kind():
    html = as_html(sheet(Section("A", (Entry("a"),)), Section("B", (Entry("b"),), kind="groups")))
    assert '<section class="plain">' in html
    assert '<section class="groups">' in html


@pytest.mark.parametrize("name", EVENINGS)
def test_lines_fit_a_terminal(name):
    text = as_text(sheet_of(name))
    assert max(map(len, text.splitlines())) <= WIDTH
    assert text.endswith("\n")


def test_a_long_word_is_not_broken():
    word = "ngúyệt" * 30
    assert word in as_text(sheet(Section("A", (Entry(word, "Long"),))))


def test_how_it_looks_in_a_terminal():
    text = as_text(
        sheet(Section("Groups", (Entry("Amara", "Group 1", ("a line",)), Entry("b")), ("lead",)))
    )
    assert text == (
        "Tuesday beginners\n"
        "=================\n"
        "17:00\n"
        "As known at 17:00.\n"
        "\n"
        "Groups\n"
        "------\n"
        "lead\n"
        "  Group 1: Amara\n"
        "      a line\n"
        "  b\n"
        "\n"
        "The caution.\n"
    )


def test_the_caution_stands_once_at_the_foot():
    made = sheet_of("nobody here")
    for form in (as_text(made), " ".join(Page(as_html(made)).words)):
        assert " ".join(form.split()).count("Partner work can injure.") == 1
        assert " ".join(form.split()).endswith("they are not a clearance.")
