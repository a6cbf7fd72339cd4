"""The sampler and the space: against plain random sampling and closed forms."""

import numpy as np
import optuna
import pytest
from optuna.distributions import CategoricalDistribution, FloatDistribution

from optimizer.search.catcma_sampler import FAILED, MISSED, CatCmaSampler, loss_of
from optimizer.search.space import from_unit, inside, to_unit

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
    ours = np.median([run(CatCmaSampler(SPACE, s))[0] for s in range(5)])
    plain = np.median([run(optuna.samplers.RandomSampler(seed=s))[0] for s in range(5)])
    assert ours > plain and ours > -0.15


def test_learns_a_hard_limit_from_rejections():
    def limit(p):  # only a twentieth of the space is allowed
        return max(abs(p["x"] - 0.8) - 0.1, abs(p["z"] + 3) - 1.25)

    ours, plain = (np.median([run(make(s), limit=limit)[1] for s in range(5)]) for make in
                   (lambda s: CatCmaSampler(SPACE, s), lambda s: optuna.samplers.RandomSampler(seed=s)))
    assert ours > 3 * plain


def test_same_seed_same_candidates():
    assert run(CatCmaSampler(SPACE, 4), 60) == run(CatCmaSampler(SPACE, 4), 60)
    assert run(CatCmaSampler(SPACE, 4), 60) != run(CatCmaSampler(SPACE, 5), 60)


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


def test_scouts_go_anywhere_and_evolution_follows_the_better_of_them():
    sampler = CatCmaSampler(SPACE, 2)
    study = optuna.create_study(direction="maximize", sampler=sampler)
    study.enqueue_trial({"x": 0.2, "y": 10.0, "z": 0.0, "kind": "mast"})
    sampler.startup = 1  # evolution from the start on
    asked(sampler, study, 100)
    sampler.scouting = True
    scouts = asked(sampler, study, 60)
    assert np.std(scouts) > 0.2 and scouts.min() < 0.1 and scouts.max() > 0.85
    sampler.scouting = False
    study.enqueue_trial({"x": 0.9, "y": 10.0, "z": 0.0, "kind": "mast"})
    asked(sampler, study, 1)
    assert np.mean(abs(asked(sampler, study, 40) - 0.9) < 0.25) > 0.4


@pytest.mark.parametrize("names", [("x",), ("kind",), ("x", "kind"), ("x", "y")])
def test_small_spaces_work_too(names):
    space = {n: SPACE[n] for n in names}
    study = optuna.create_study(direction="maximize", sampler=CatCmaSampler(space, 1))
    for i in range(60):
        trial = study.ask(space)
        assert set(trial.params) == set(names)
        study.tell(trial, float(i % 7))


def test_missing_a_limit_ranks_behind_any_score_and_breakdown_last():
    done, fail = optuna.trial.TrialState.COMPLETE, optuna.trial.TrialState.FAIL
    losses = [loss_of(done, 90.0, {"a": -1.0}), loss_of(done, 0.0, {"a": 0.0}), loss_of(done, 0.0, {"a": 0.1}),
              loss_of(done, 0.0, {"a": 2.0}), loss_of(fail, None, {})]  # fmt: skip
    assert losses == sorted(losses) and losses[1] < MISSED < losses[2] and losses[-1] == FAILED


def test_unit_cube_and_back():
    assert to_unit(10.0, SPACE["y"]) == pytest.approx(0.5)  # the geometric middle of 1..100
    for name in "xyz":
        for u in (0.0, 0.3, 1.0):
            assert to_unit(from_unit(u, SPACE[name]), SPACE[name]) == pytest.approx(u)


def test_outside_values_are_clamped_and_unknown_ones_dropped():
    assert inside({"x": 2.0, "kind": "roof", "other": 1}, SPACE) == {"x": 1.0}
