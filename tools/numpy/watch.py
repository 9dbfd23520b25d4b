#!/usr/bin/env python3
"""The winter watch in plain vectorised NumPy, to measure the program against.

Reads the case that tools/winterbench writes, draws what is not known with
NumPy's own generator, makes the same fans (seven quantiles and the chance to
be short, every day, every colony), says how fast, and how far its fans lie
from those of the program. Its draws are its own, so that is a check of the
model by a second pen, within the noise of the draws.
"""
import json
import sys
import time

import numpy as np

with open(sys.argv[1]) as f:
    case = json.load(f)
fig = case["figures"]
days, draws = case["days"], case["draws"]
rng = np.random.default_rng(1)


def vary(key):
    value, sd, low, high = fig[key]
    return np.clip(rng.normal(value, sd, draws), low, high)


def value(key):
    return fig[key][0]


start = time.perf_counter()

# What is not known, by draw.
temp = np.array(case["temp_c"])[rng.permutation(draws) % len(case["temp_c"])]
b, r = vary("winter.cluster_g") / 1000, vary("winter.bees_g_kg") / 1000
qf, h = vary("winter.brood_food_g") / 1000, vary("winter.brood_heat_g") / 1000
cold_per, deep_per, stir = vary("winter.cold_per_c"), vary("winter.deep_cold_per_c"), vary("winter.stir_per_c")
more = value("winter.deep_cold_spread") * rng.normal(size=draws)
shift, amount = vary("winter.brood_shift_days"), vary("winter.brood_amount")
bees_off = np.clip(rng.normal(1, value("winter.bees_spread"), draws), 0.3, 2)
ends = np.clip(rng.normal(case["forage_day"], case["forage_sd_days"], draws), 0, days)
factor = np.clip(rng.normal(1, value("winter.colony_spread"), draws), 0.2, 3)
z = rng.normal(size=draws)

# The weather's part of the four sums, kg, by draw and day.
low, high, tight = value("winter.rest_low_c"), value("winter.rest_high_c"), value("winter.tight_c")
c = 1 + cold_per[:, None] * np.clip(low - temp, 0, low - tight) + deep_per[:, None] * np.maximum(tight - temp, 0)
c *= np.maximum(0.2, 1 + more[:, None] * np.clip((tight - temp) / 5, 0, 1))
act = 1 + np.minimum(stir[:, None] * np.maximum(temp - high, 0), value("winter.stir_most"))
x = np.arange(days)
pad = (len(case["brood_dm2"]) - days) // 2
brood = amount[:, None] * np.interp(x[None, :] - shift[:, None], np.arange(-pad, days + pad), case["brood_dm2"])
part = np.clip(ends[:, None] - x[None, :], 0, 1)
sums = np.stack([
    b[:, None] * c,
    r[:, None] * bees_off[:, None] * np.array(case["bees"])[None, :] * c * act,
    qf[:, None] * brood,
    h[:, None] * np.maximum(value("winter.nest_c") - temp, 0) * brood ** (2 / 3),
]) * part
sums = np.concatenate([np.zeros((4, draws, 1)), np.cumsum(sums, axis=2)], axis=2)

# The fans, some colonies at a time.
col = case["colonies"]
bees = np.array([k["bees"] for k in col])
prot = np.array([k["k"] for k in col])
has = np.array([k["stores_kg"] for k in col])
sd = np.array([k["sd_kg"] for k in col])
scale = np.clip(bees / value("winter.brood_bees"), value("winter.brood_size_low"), value("winter.brood_size_high"))
share = np.stack([prot, bees * value("stores.bee_g") / 1000, scale, prot * scale ** (2 / 3)], axis=1)
quantiles = np.empty((len(col), len(case["levels"]), days + 1))
short = np.empty((len(col), days + 1))
chunk = 8
for i in range(0, len(col), chunk):
    s = slice(i, min(i + chunk, len(col)))
    eaten = np.tensordot(share[s], sums, axes=1)
    left = np.maximum(has[s, None] + sd[s, None] * z, 0)[:, :, None] - factor[None, :, None] * eaten
    quantiles[s] = np.moveaxis(np.quantile(np.maximum(left, 0), case["levels"], axis=1), 0, 1)
    short[s] = np.mean(left < case["reserve_kg"], axis=1)

took = time.perf_counter() - start
print(f"NumPy {np.__version__}: {len(col)} colonies, {days} days, {draws} draws: {took:.2f} s, {len(col) * days / took:.0f} colony-days/s")

n = len(case["fans"])
off_q = max(np.abs(quantiles[i] - np.array(case["fans"][i]["quantiles_kg"])).max() for i in range(n))
mid = case["levels"].index(0.5)
off_m = max(np.abs(quantiles[i][mid] - np.array(case["fans"][i]["quantiles_kg"])[mid]).max() for i in range(n))
off_s = max(np.abs(short[i] - np.array(case["fans"][i]["short"])).max() for i in range(n))
print(f"fans of {n} colonies against the program's: middle at most {off_m:.2f} kg apart, any quantile {off_q:.2f} kg, chance to be short {off_s:.3f}")
# Noise of 1000 free draws: the middle to about 0.15 kg (one standard error) of a
# spread of 4, an outer quantile twice that, a chance to 0.016; the largest of
# 20 × 211 is four or so of them.
if off_m > 0.8 or off_q > 1.8 or off_s > 0.08:
    sys.exit("the two do not agree")
