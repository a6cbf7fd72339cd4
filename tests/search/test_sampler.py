"""The sampler and the space: against plain random sampling and closed forms."""

import numpy as np
import optuna
import pytest
from optuna.distributions import CategoricalDistribution, FloatDistribution

from optimizer.search.space import from_unit, inside, to_unit
from optimizer.search.surface import CORNER, Coding, merit
from optimizer.search.surface_sampler import (
    ELSEWHERE,
    FAILED,
    MISSED,
    POLISH_EVERY,
    SCOUTS,
    Seen,
    SurfaceSampler,
    height_of,
    loss_of,
)

SPACE = {
    "x": FloatDistribution(0.0, 1.0),
    "y": FloatDistribution(1.0, 100.0, log=True),
    "z": FloatDistribution(-5.0, 5.0),
    "kind": CategoricalDistribution(("post", "mast", "tree")),
}


def hill(p):
    """Highest (0) at x = 0.3, y = 10, z = 1 and kind tree; other kinds stand elsewhere and lower."""
    kind = {"post": 6.0, "mast": 3.0, "tree": 0.0}[p["kind"]]
    return -(20 * (p["x"] - 0.3) ** 2 + (np.log10(p["y"]) - 1) ** 2 * 4 + 0.3 * (p["z"] - 1) ** 2 + kind)


def run(sampler, trials=150, limit=None):
    study = optuna.create_study(direction="maximize", sampler=sampler)
    for _ in range(trials):
        trial = study.ask(SPACE)
        missed = limit(trial.params) if limit else -1.0
        trial.set_constraint("lot_m", missed)
        study.tell(trial, 0.0 if missed > 0 else hill(trial.params))
    kept = [t for t in study.trials if t.constraints["lot_m"] <= 0]
    return max((t.value for t in kept), default=-np.inf), len(kept)


def test_finds_the_top_better_than_random():
    ours = np.median([run(SurfaceSampler(SPACE, s))[0] for s in range(5)])
    plain = np.median([run(optuna.samplers.RandomSampler(seed=s))[0] for s in range(5)])
    assert ours > plain and ours > -0.15


def test_learns_a_hard_limit_from_rejections():
    def limit(p):  # only a twentieth of the space is allowed
        return max(abs(p["x"] - 0.8) - 0.1, abs(p["z"] + 3) - 1.25)

    ours, plain = (np.median([run(make(s), limit=limit)[1] for s in range(5)]) for make in
                   (lambda s: SurfaceSampler(SPACE, s), lambda s: optuna.samplers.RandomSampler(seed=s)))
    assert ours > 3 * plain


def test_same_seed_same_candidates():
    assert run(SurfaceSampler(SPACE, 4), 60) == run(SurfaceSampler(SPACE, 4), 60)
    assert run(SurfaceSampler(SPACE, 4), 60) != run(SurfaceSampler(SPACE, 5), 60)


def two_hills(p):
    """A wide hill of 1 at x = 0.2, a narrow one of 2 at x = 0.9."""
    return max(1.0 - abs(p["x"] - 0.2), 2.0 - 20.0 * abs(p["x"] - 0.9))


def asked(sampler, study, count):
    """x of so many candidates, told their height."""
    found = []
    for _ in range(count):
        trial = study.ask(SPACE)
        study.tell(trial, two_hills(trial.params))
        found.append(trial.params["x"])
    return np.array(found)


def test_scouts_go_anywhere_and_the_climb_follows_the_better_of_them():
    sampler = SurfaceSampler(SPACE, 2)
    study = optuna.create_study(direction="maximize", sampler=sampler)
    study.enqueue_trial({"x": 0.2, "y": 10.0, "z": 0.0, "kind": "mast"})
    sampler.startup = 1  # climbs from the start on
    asked(sampler, study, 10)
    sampler.scouting = True
    scouts = asked(sampler, study, 60)
    assert np.std(scouts) > 0.2 and scouts.min() < 0.1 and scouts.max() > 0.85
    sampler.scouting = False
    study.enqueue_trial({"x": 0.9, "y": 10.0, "z": 0.0, "kind": "mast"})
    asked(sampler, study, 1)
    assert np.mean(abs(asked(sampler, study, 12) - 0.9) < 0.25) > 0.6


def test_what_changes_nothing_is_left_alone():
    """Only x counts: once that is seen, hardly a solve goes to a candidate with the same x."""
    sampler = SurfaceSampler(SPACE, 3)
    study = optuna.create_study(direction="maximize", sampler=sampler)
    x = asked(sampler, study, 120)
    assert len(set(x[-60:])) > 50


def test_climbs_again_from_another_choice_than_that_of_the_summits():
    sampler = SurfaceSampler(SPACE, 1)
    points = {kind: [sampler.coding.point({"x": x, "y": 10.0, "z": 0.0, "kind": kind}) for x in (0.2, 0.8)] for kind in SPACE["kind"].choices}
    heights = {"post": -50.0, "mast": -45.0, "tree": -20.0}
    sampler.seen = [Seen(point=points[kind][0], loss=h, height=h, stood=True) for kind, h in heights.items()]
    begun = []
    for kind in ("post", "post", "mast"):
        sampler.summits.append(points[kind][1])
        sampler._climb(sampler._unlike_summits())
        begun.append(sampler.coding.values(sampler.home)["kind"])
    assert begun == ["mast", "post", "tree"]  # mast 5 behind, post 10 for being a summit
    assert sampler._unlike_summits().loss == np.inf  # all begun with, none known to stand best: anywhere
    sampler.best = sampler.seen[0]
    assert sampler._unlike_summits() is sampler.seen[0]


WAYS = {"x": FloatDistribution(0.0, 1.0), "way": CategoricalDistribution(("feed", "radio")), "hung": CategoricalDistribution(("post", "mast", "tree"))}


def climbing(space, start, height):
    """A sampler that has met its only start, and its study."""
    sampler = SurfaceSampler(space, 1)
    sampler.startup = 1
    study = optuna.create_study(direction="maximize", sampler=sampler)
    study.enqueue_trial(start)
    study.tell(study.ask(space), height)
    return sampler, study


def test_a_climb_tries_the_other_of_a_two_way_choice_first():
    sampler, study = climbing(WAYS, {"x": 0.4, "way": "feed", "hung": "mast"}, 10.0)
    trial = study.ask(WAYS)
    assert trial.params == {"x": 0.4, "way": "radio", "hung": "mast"}
    study.tell(trial, 20.0)
    assert sampler.coding.values(sampler.home)["way"] == "radio"
    assert study.ask(WAYS).params["x"] != 0.4


def test_scouts_by_turns_hang_the_best_from_other_supports_each_once():
    sampler, study = climbing(WAYS, {"x": 0.4, "way": "feed", "hung": "mast"}, 50.0)
    sampler.scouting = True
    hung = []
    for turn in range(4 * len(SCOUTS)):
        trial = study.ask(WAYS)
        if SCOUTS[turn % len(SCOUTS)] == ELSEWHERE and trial.params["x"] == 0.4:
            hung.append((trial.params["way"], trial.params["hung"]))
        study.tell(trial, 1.0)
    assert len(hung) == len(set(hung)) and ("feed", "mast") not in hung
    assert all(way == "feed" for way, _ in hung) and 1 <= len(hung) <= 2  # such as a random point had are not tried again


def test_scouts_in_flight_together_hang_the_best_from_different_supports():
    sampler, study = climbing(WAYS, {"x": 0.4, "way": "feed", "hung": "mast"}, 50.0)
    sampler.scouting, sampler.scouted = True, SCOUTS.index(ELSEWHERE)
    assert {study.ask(WAYS).params["hung"] for _ in range(2)} == {"post", "tree"}


def test_between_climbs_the_best_is_polished_once():
    sampler, study = climbing(WAYS, {"x": 0.4, "way": "feed", "hung": "mast"}, 50.0)
    best, polished, hung = sampler.best, [], set()
    for _ in range(400):
        trial = study.ask(WAYS)
        if sampler.polishing:
            polished.append(trial.params)
            hung |= {choices[1] for _, choices in sampler._nearby()}
        study.tell(trial, 0.1 + 0.1 * trial.params["x"])
    assert len(sampler.summits) > 2 * POLISH_EVERY and sampler.best is best
    assert 5 <= len(polished) <= 40 and all(abs(p["x"] - 0.4) < 0.35 for p in polished)
    assert hung == {0, 1, 2}  # free in what other climbs keep


def test_breakdowns_are_not_taken_for_changes_that_change_nothing():
    sampler = SurfaceSampler(SPACE, 1)
    study = optuna.create_study(direction="maximize", sampler=sampler)
    for _ in range(60):
        study.tell(study.ask(SPACE), state=optuna.trial.TrialState.FAIL)
    assert sampler.summits and not sampler.idle.any()  # it narrows and goes elsewhere


def test_in_flight_together_are_different_candidates():
    sampler = SurfaceSampler(SPACE, 6)
    study = optuna.create_study(direction="maximize", sampler=sampler)
    asked(sampler, study, 10)
    trials = [study.ask(SPACE) for _ in range(8)]
    assert len({tuple(t.params.items()) for t in trials}) == 8
    for trial in reversed(trials):
        study.tell(trial, two_hills(trial.params))


@pytest.mark.parametrize("names", [("x",), ("kind",), ("x", "kind"), ("x", "y")])
def test_small_spaces_work_too(names):
    space = {n: SPACE[n] for n in names}
    study = optuna.create_study(direction="maximize", sampler=SurfaceSampler(space, 1))
    for i in range(60):
        trial = study.ask(space)
        assert set(trial.params) == set(names)
        study.tell(trial, float(i % 7))


def test_missing_a_limit_ranks_behind_any_score_and_breakdown_last():
    done, fail = optuna.trial.TrialState.COMPLETE, optuna.trial.TrialState.FAIL
    losses = [loss_of(done, 90.0, {"a": -1.0}), loss_of(done, 0.0, {"a": 0.0}), loss_of(done, 0.0, {"a": 0.1}),
              loss_of(done, 0.0, {"a": 2.0}), loss_of(fail, None, {})]  # fmt: skip
    assert losses == sorted(losses) and losses[1] < MISSED < losses[2] and losses[-1] == FAILED


def test_the_surface_knows_a_missed_limit_from_a_kept_one_by_a_cost_with_an_end():
    assert height_of(70.0, 0.0) == -70.0
    assert -70.0 < height_of(70.0, 0.01) < height_of(70.0, 0.5) < height_of(70.0, 5.0) == height_of(70.0, 50.0)


def test_points_and_back_and_how_far_apart_they_lie():
    space = {**SPACE, "bearing_deg": FloatDistribution(0.0, 360.0)}
    coding = Coding(space)
    params = {"x": 0.25, "y": 10.0, "z": -2.0, "kind": "mast", "bearing_deg": 90.0}
    assert coding.values(coding.point(params)) == pytest.approx(params)

    def apart(**other):
        a, b = coding.coded([coding.point(params), coding.point(params | other)])
        return np.linalg.norm(a - b)

    assert apart(x=0.75) == pytest.approx(0.5)
    assert apart(kind="tree") == pytest.approx(apart(kind="post")) == pytest.approx(CORNER * np.sqrt(2))
    assert apart(bearing_deg=270.0) == pytest.approx(1 / np.pi)  # the diameter of a circle of length 1
    north, again = (coding.coded([coding.point(params | {"bearing_deg": b})]) for b in (0.0, 360.0))
    assert north == pytest.approx(again)
    assert coding.folded(np.array([-0.2, 1.3, 0.4, 1.25])) == pytest.approx([0.2, 0.7, 0.4, 0.25])


def test_the_surface_finds_the_bottom_of_a_bowl_and_distance_what_is_unknown():
    rng = np.random.default_rng(0)
    known, at = rng.random((60, 3)), rng.random((4000, 3))
    losses = ((known - 0.4) ** 2).sum(axis=1)
    assert np.linalg.norm(at[np.argmin(merit(at, known, losses, 1.0))] - 0.4) < 0.12
    corner = known[known.sum(axis=1) < 1.5]
    assert at[np.argmin(merit(at, corner, np.zeros(len(corner)), 0.0))].sum() > 2.4
    assert (merit(at, np.empty((0, 3)), np.empty(0), 0.5) == 0).all()


def test_unit_cube_and_back():
    assert to_unit(10.0, SPACE["y"]) == pytest.approx(0.5)  # the geometric middle of 1..100
    for name in "xyz":
        for u in (0.0, 0.3, 1.0):
            assert to_unit(from_unit(u, SPACE[name]), SPACE[name]) == pytest.approx(u)


def test_outside_values_are_clamped_and_unknown_ones_dropped():
    assert inside({"x": 2.0, "kind": "roof", "other": 1}, SPACE) == {"x": 1.0}


def test_heights_are_the_denser_the_higher_and_come_back_as_they_were():
    """A uniform unit number u means the share sqrt(u) of the range, so that three quarters of all lie in its upper half (closed form)."""
    coding = Coding({"apex_m": FloatDistribution(3.0, 9.0), "cord_m": FloatDistribution(3.0, 9.0)})
    drawn = [coding.values((np.array([u, u]), ())) for u in np.linspace(0.0, 1.0, 2001)]
    for name, share in (("apex_m", 0.75), ("cord_m", 0.5)):
        assert np.mean([v[name] > 6.0 for v in drawn]) == pytest.approx(share, abs=1e-3)
    assert all(coding.values(coding.point(v)) == pytest.approx(v) for v in drawn[::100])
