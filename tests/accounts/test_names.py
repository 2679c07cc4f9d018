import pytest

from accounts.names import alphabetical, bare, close_to, folded


@pytest.mark.parametrize(
    ("text", "key", "plain"),
    [
        ("  Amara   K. ", "amara k", "amara k"),
        ("OĞUZ", "oğuz", "oguz"),
        ("Nguye\u0323\u0302t", "nguy\u1ec7t", "nguyet"),
        ("Þóra", "þóra", "þora"),
        ("Clíodhna", "clíodhna", "cliodhna"),
        ("Straße", "strasse", "strasse"),
        ("", "", ""),
    ],
)
def test_names_as_they_are_compared(text, key, plain):
    assert (folded(text), bare(text)) == (key, plain)


@pytest.mark.parametrize("step", [1, -1])
def test_the_order_of_names(step):
    written = ["Zoë", "éa", "Eb", "Ea", "Þóra", "amara", "Amara"][::step]
    assert sorted(written, key=alphabetical) == ["Amara", "amara", "Ea", "éa", "Eb", "Zoë", "Þóra"]


@pytest.mark.parametrize(
    ("text", "names", "hint"),
    [
        ("Amra", ["Bao", "Amara"], "; close to it: Amara"),
        ("Oguz", ["Oğuz"], "; close to it: Oğuz"),
        ("Zoe", ["Zoë", "Zoé", "Bao"], "; close to it: Zoé, Zoë"),
        ("Xenia", ["Bao", "Amara"], ""),
        ("Bao", [], ""),
    ],
)
def test_which_names_come_close(text, names, hint):
    assert close_to(text, names) == close_to(text, names[::-1]) == hint
