"""Writes figures.json: made-up bars, and what a comparison of them has to say, reckoned
with scipy (1.10.1) and by hand, by none of the project's code. No metal was broken.

    python3 figures.py > figures.json
"""

import json
import math

import numpy as np
from scipy import optimize, stats

UNBIASED = {4: 0.6047, 5: 0.6934, 6: 0.7497, 7: 0.7879, 8: 0.8165}  # checks 9.3


def bars(melt, mpa, u, common, dof, by, longer=()):
    out = []
    for i, v in enumerate(mpa):
        p = {"melt": melt, "strength_pa": v * 1e6, "u_pa": u * 1e6, "expanded_pa": (2 * u + 0.1) * 1e6, "common_by": by}
        p["common_u_pa"] = (common - 0.01 * i) * 1e6  # the first has the largest
        if dof:
            p["common_dof"] = dof
        if i < len(longer):
            p["elongation"] = longer[i]
        out.append(p)
    return out


def by_eye(pulls, mpa):
    """Read off a dial of such a division."""
    return [p | {"by_eye": True, "step_pa": mpa * 1e6} for p in pulls]


def factor(dof):
    return 2.0 if not dof else max(2.0, stats.t.ppf(0.975, math.floor(dof)))


def weibull(x, held, level):
    x, all_ = np.array(x), np.array(list(x) + list(held))
    d = len(x)

    def like(m, s):
        return d * math.log(m) - d * m * math.log(s) + (m - 1) * np.log(x).sum() - ((all_ / s) ** m).sum()

    def scale(m):  # best of a shape
        top = all_.max()
        return top * (((all_ / top) ** m).sum() / d) ** (1 / m)

    def score(m):
        w = (all_ / all_.max()) ** m
        return (w * np.log(all_)).sum() / w.sum() - 1 / m - np.log(x).mean()

    m = optimize.brentq(score, 0.1, 2000, xtol=1e-13, rtol=1e-14)
    s = scale(m)
    floor = like(m, s) - stats.chi2.ppf(level, 1) / 2

    def best(s):  # likelihood of the best shape of a scale
        slope = lambda k: d / k + np.log(x / s).sum() - ((all_ / s) ** k * np.log(all_ / s)).sum()
        return like(optimize.brentq(slope, 1, 600, xtol=1e-12, rtol=1e-14), s)

    root = lambda f, a, b: optimize.brentq(f, a, b, xtol=1e-13, rtol=1e-14)
    out = {
        "n": len(all_), "failures": d, "shape": m, "scale_pa": s, "level": level, "log_likelihood": like(m, s),
        "shape_low": root(lambda k: like(k, scale(k)) - floor, m / 8, m), "shape_high": root(lambda k: like(k, scale(k)) - floor, m, 8 * m),
        "scale_low_pa": root(lambda v: best(v) - floor, 0.8 * s, s), "scale_high_pa": root(lambda v: best(v) - floor, s, 1.2 * s),
    }
    if len(held) == 0 and d in UNBIASED:
        out["unbiasing_factor"], out["shape_unbiased"] = UNBIASED[d], UNBIASED[d] * m
    return out


def normality(x):
    n, a = len(x), stats.anderson(x).statistic
    s = a * (1 + 0.75 / n + 2.25 / n**2)
    if s >= 0.6:
        p = math.exp(1.2937 - 5.709 * s + 0.0186 * s * s)
    elif s >= 0.34:
        p = math.exp(0.9177 - 4.279 * s - 1.38 * s * s)
    elif s >= 0.2:
        p = 1 - math.exp(-8.318 + 42.796 * s - 59.938 * s * s)
    else:
        p = 1 - math.exp(-13.436 + 101.14 * s - 223.73 * s * s)
    return {"n": n, "a2": a, "a2_adjusted": s, "p": p}


def grubbs(x, level):
    n, mean, sd = len(x), np.mean(x), np.std(x, ddof=1)
    far = max(x, key=lambda v: abs(v - mean))
    g = abs(far - mean) / sd
    t = stats.t.isf(level / (2 * n), n - 2)
    critical = (n - 1) / math.sqrt(n) * math.sqrt(t * t / (n - 2 + t * t))
    tail = stats.t.sf(math.sqrt(n * (n - 2) * g * g / ((n - 1) ** 2 - n * g * g)), n - 2)
    return {"strength_pa": far, "level": level, "g": g, "critical": critical, "p": min(1, 2 * n * tail), "flagged": bool(g > critical)}


def largest(group):
    most = max(group, key=lambda p: factor(p.get("common_dof")) * p["common_u_pa"])
    return most["common_u_pa"], most.get("common_dof")


def put(out, at, v):
    if isinstance(v, dict):
        for k, e in v.items():
            put(out, f"{at}.{k}" if at else k, e)
    else:
        out[at] = v


def group(pulls, level, minimum, content, confidence):
    broke = sorted((p for p in pulls if "strength_pa" in p), key=lambda p: p["strength_pa"])
    held = [p["at_least_pa"] for p in pulls if "at_least_pa" in p]
    x = [p["strength_pa"] for p in broke]
    n, mean, sd = len(x), np.mean(x), np.std(x, ddof=1)
    low, high = stats.t.interval(1 - level, n - 1, mean, sd / math.sqrt(n))
    k = stats.nct.ppf(confidence, n - 1, stats.norm.ppf(content) * math.sqrt(n)) / math.sqrt(n)
    u, dof = largest(broke)
    off = factor(dof) * u
    step = max(p.get("step_pa", 0) for p in broke)
    wide = math.sqrt(sd**2 + step**2 / 12) if step > sd else sd
    count = mean - k * wide - off
    promised = math.floor(count / 1e6) * 1e6  # all minima here are stated in MPa
    longer = [p["elongation"] for p in broke if "elongation" in p]
    out = {
        "n": n, "mean_pa": mean, "sd_pa": sd, "cv": sd / mean, "median_pa": np.median(x), "least_pa": min(x), "most_pa": max(x),
        "mean_low_pa": low, "mean_high_pa": high, "mean_level": 1 - level,
        "elongation": {"n": len(longer)}, "outlier": grubbs(x, level),
        "bound": {"n": n, "k": k, "content": content, "confidence": confidence, "sd_pa": wide, "bound_pa": mean - k * wide},
        "count_on": {
            "strength_pa": count, "promised_pa": promised, "bound_pa": mean - k * wide, "common_expanded_pa": off, "coverage_k": factor(dof),
            "common_unknown": 0, "holds": promised >= minimum,
        },
        "weibull": weibull(x, held, 1 - level),
    }
    if dof:
        out["count_on"]["coverage_dof"] = dof
    if step > sd:
        out["bound"]["step_pa"] = step
    if longer:
        out["elongation"].update(mean=np.mean(longer), sd=np.std(longer, ddof=1), least=min(longer), most=max(longer))
    if n >= 8:
        out["normality"] = normality(x)
    return out, x, broke


def difference(a, b, x, y, level):
    va, vb = np.var(x, ddof=1) / len(x), np.var(y, ddof=1) / len(y)
    t, p = stats.ttest_ind(y, x, equal_var=False)
    dof = (va + vb) ** 2 / (va**2 / (len(x) - 1) + vb**2 / (len(y) - 1))
    diff, se = np.mean(y) - np.mean(x), math.sqrt(va + vb)
    reach = stats.t.ppf(1 - level / 2, dof) * se
    out = {
        "difference_pa": diff, "se_pa": se, "dof": dof, "low_pa": diff - reach, "high_pa": diff + reach, "level": 1 - level, "t": t, "p": p,
        "same_rig": a[0]["common_by"] == b[0]["common_by"],
        "machine_not_told": False,  # no bar of a table alone is among them
        "rigs_may_be_why": False,
    }
    (ua, da), (ub, db) = largest(a), largest(b)
    if out["same_rig"]:
        return out | {"common_u_pa": 0, "common_coverage_k": 2}
    fourth = sum(u**4 / d for u, d in ((ua, da), (ub, db)) if d)
    both = (ua**2 + ub**2) ** 2 / fourth if fourth else None
    out |= {"common_u_pa": math.hypot(ua, ub), "common_coverage_k": factor(both)}
    out["rigs_may_be_why"] = bool(math.hypot(reach, factor(both) * math.hypot(ua, ub)) >= abs(diff))
    return out | ({"common_dof": both} if both else {})


def analysis(groups):
    n, k = sum(map(len, groups)), len(groups)
    f, p = stats.f_oneway(*groups)
    grand = np.mean(np.concatenate(groups))
    between = sum(len(g) * (np.mean(g) - grand) ** 2 for g in groups)
    within = sum(((np.array(g) - np.mean(g)) ** 2).sum() for g in groups)
    ms = within / (n - k)
    size = (n - sum(len(g) ** 2 for g in groups) / n) / (k - 1)
    among = math.sqrt(max(0, (between / (k - 1) - ms) / size))
    return {
        "groups": k, "n": n, "between_pa2": between, "within_pa2": within, "dof_between": k - 1, "dof_within": n - k, "f": f, "p": p,
        "within_sd_pa": math.sqrt(ms), "among_sd_pa": among,
    }


def case(name, pulls, level, minimum_mpa, content=0.90, confidence=0.95):
    minimum = minimum_mpa * 1e6
    figures, all_ = {"content": content, "confidence": confidence, "level": level, "minimum_pa": minimum}, []
    for i, melt in enumerate(sorted({p["melt"] for p in pulls})):
        g, x, broke = group([p for p in pulls if p["melt"] == melt], level, minimum, content, confidence)
        put(figures, f"groups.{i}", g)
        all_.append((broke, x))
    if len(all_) == 2:
        put(figures, "difference", difference(all_[0][0], all_[1][0], all_[0][1], all_[1][1], level))
    else:
        put(figures, "analysis", analysis([x for _, x in all_]))
    figures = {k: v.item() if isinstance(v, np.generic) else v for k, v in figures.items()}
    return {"name": name, "level": level, "minimum_pa": minimum, "content": content, "confidence": confidence, "pulls": pulls, "figures": figures}


TWO = bars("M1", [309.2, 314.1, 305.3, 311.8, 317.4, 302.6, 312.9, 308.5, 294.1], 3.2, 2.6, 6, "rig one", (0.18, 0.21, 0.195))
TWO.append({"melt": "M1", "at_least_pa": 315.5e6, "u_pa": 3.3e6, "expanded_pa": 6.7e6, "common_u_pa": 9e6, "common_by": "rig one"})
TWO += bars("M2", [297.5, 302.9, 293.2, 295.9, 308.1, 295.0, 312.3, 295.7], 4.1, 3.3, None, "rig two", (0.15, 0.17))
THREE = bars("M1", [309.2, 314.1, 305.3, 311.8, 317.4], 3.2, 2.6, 4, "rig one")
THREE += bars("M2", [306.9, 301.3, 308.2, 311.0, 299.7, 304.4], 3.2, 2.6, None, "rig one")
THREE += bars("M3", [309.9, 305.1, 313.3, 308.0, 316.6, 310.2, 304.5], 3.2, 2.6, None, "rig one")
SAME = bars("M1", [309.2, 314.1, 305.3, 311.8, 317.4], 3.2, 2.6, 4, "rig one") + bars("M2", [309.0, 303.1, 310.2, 312.0], 3.2, 2.6, 4, "rig one")
COARSE = by_eye(bars("M1", [306.5, 306.5, 314.0, 314.0, 306.5], 5, 2.6, 4, "rig one"), 7.5)
COARSE += by_eye(bars("M2", [299.0, 306.5, 314.0, 321.5], 5, 2.6, 4, "rig one"), 7.5)  # SD is larger than the division

print(json.dumps([
    case("two", TWO, 0.05, 288), case("two at 0.01", TWO, 0.01, 280, 0.99, 0.95), case("two at 0.2", TWO, 0.2, 280, 0.95, 0.90),
    case("three", THREE, 0.05, 285), case("three at 0.01", THREE, 0.01, 285), case("three at 0.2", THREE, 0.2, 285), case("same rig", SAME, 0.05, 285),
    case("coarse", COARSE, 0.05, 285),
], indent=1))
