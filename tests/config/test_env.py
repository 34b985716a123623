"""Readers of environment variables fail loudly."""

import pytest

from yard.config import env


def test_value_wins_over_default_and_empty_counts_as_unset(monkeypatch):
    monkeypatch.setenv("X_NAME", " there ")
    assert env.text("X_NAME", "default") == "there"
    monkeypatch.setenv("X_NAME", "  ")
    assert env.text("X_NAME", "default") == "default"


def test_missing_value_without_default_stops(monkeypatch):
    monkeypatch.delenv("X_NAME", raising=False)
    with pytest.raises(env.BadSetting, match="X_NAME is not set"):
        env.text("X_NAME")


@pytest.mark.parametrize(("typed", "value"), [("yes", True), ("ON", True), ("1", True), ("No", False), ("0", False)])
def test_yes_and_no_are_read(monkeypatch, typed, value):
    monkeypatch.setenv("X_FLAG", typed)
    assert env.flag("X_FLAG", default=not value) is value


@pytest.mark.parametrize("typed", ["yse", "2", "-"])
def test_other_words_than_yes_and_no_stop(monkeypatch, typed):
    monkeypatch.setenv("X_FLAG", typed)
    with pytest.raises(env.BadSetting, match="yes or no"):
        env.flag("X_FLAG", default=False)


@pytest.mark.parametrize("typed", ["many", "1.5", "0", "11", "٣"])
def test_number_out_of_bounds_or_none_stops(monkeypatch, typed):
    monkeypatch.setenv("X_NUMBER", typed)
    with pytest.raises(env.BadSetting, match="from 1 to 10"):
        env.whole("X_NUMBER", 5, 1, 10)


def test_choice_names_what_is_possible(monkeypatch):
    monkeypatch.setenv("X_MODE", "prod")
    with pytest.raises(env.BadSetting, match="production, demo"):
        env.choice("X_MODE", ("production", "demo"), "demo")


def test_list_is_split_at_commas(monkeypatch):
    monkeypatch.setenv("X_HOSTS", "a.example, b.example,")
    assert env.words("X_HOSTS") == ["a.example", "b.example"]


def test_file_gives_what_the_environment_does_not_say(monkeypatch, tmp_path):
    monkeypatch.setenv("X_ONE", "from outside")
    monkeypatch.delenv("X_TWO", raising=False)
    file = tmp_path / ".env"
    file.write_text("# a remark\nX_ONE=file\nX_TWO='quoted=value'\n\n")
    monkeypatch.setattr("os.environ", {"X_ONE": "from outside"})
    env.load_file(file)
    assert (env.text("X_ONE"), env.text("X_TWO")) == ("from outside", "quoted=value")


def test_line_of_the_file_that_is_no_setting_stops_with_its_number(tmp_path):
    file = tmp_path / ".env"
    file.write_text("X_ONE=1\njust words\n")
    with pytest.raises(env.BadSetting, match="line 2"):
        env.load_file(file)
