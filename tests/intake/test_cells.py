"""Batteries: any sign stops the post, doubt counts as damage, every text defers to those who know."""

import pytest

from intake.cells import CELL_STATES, PROFILES, SIGNS, judge_cell, judge_signs, post_rule


def test_no_sign_may_be_posted():
    assert judge_signs([]).may_post
    assert judge_signs([""]).may_post


@pytest.mark.parametrize("sign", [*SIGNS, "something odd"])
def test_any_sign_stops_the_post_and_says_what_instead(sign):
    verdict = judge_signs([sign])
    assert not verdict.may_post
    assert "hazardous-waste" in " ".join(verdict.instead)
    assert all(sentence.endswith(".") for sentence in verdict.instead)


@pytest.mark.parametrize("sign", list(SIGNS))
def test_heat_and_hissing_are_emergencies(sign):
    assert ("call the fire service" in judge_signs([sign]).instead[0]) == (sign in ("hot", "hissing"))


@pytest.mark.parametrize("state", list(CELL_STATES))
def test_only_a_sound_or_absent_cell_stays_out_of_quarantine(state):
    verdict = judge_cell(state)
    assert verdict.quarantine == (state not in ("sound", "none"))
    assert bool(verdict.must_not) == verdict.quarantine


def test_an_unknown_cell_state_is_refused():
    with pytest.raises(ValueError, match="cell state"):
        judge_cell("fine")


def test_a_bare_board_is_no_lithium_parcel():
    verdict = post_rule(kind="none", condition="damaged", carrier_profile="usps", international=True)
    assert verdict.may_go
    assert verdict.marks == ()


def test_an_unknown_size_is_said():
    assert "not known" in " ".join(post_rule().sentences)


def test_doubt_counts_as_damage_and_an_unknown_profile_as_plain():
    assert not post_rule(condition="unseen").may_go
    assert post_rule(carrier_profile="nobody's").marks == ()


@pytest.mark.parametrize("wrong", [{"mode": "rocket"}, {"kind": "reactor"}])
def test_an_unknown_question_is_refused(wrong):
    with pytest.raises(ValueError, match="no rule"):
        post_rule(**wrong)


def test_every_profile_names_its_source_and_defers():
    for key, profile in PROFILES.items():
        assert key == profile.id
        assert profile.source
        assert "go first" in profile.note
