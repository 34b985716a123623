"""The drying equations written out plainly, one board at a time, for scipy to solve: the reference."""

import numpy as np
from scipy.integrate import solve_ivp

SECONDS_A_DAY = 86400.0


def plain_daily_mc(
    *,
    width,
    half_m,
    diffusivity,
    surface,
    saturation,
    start_pct,
    temp_f,
    emc_pct,
    rtol=1e-4,
    atol=1e-4,
    exponent=0.0,
):
    """Return the mean and the face cell's MC [%] at the end of every day, by LSODA restarted daily."""
    kelvin = (np.asarray(temp_f) - 32) * 5 / 9 + 273.15
    speed = np.exp(-5280 * (1 / kelvin - 1 / 293.15))
    cell_m = width * half_m
    apart_m = (cell_m[:-1] + cell_m[1:]) / 2

    def rate(_time, mc, r, emc):
        if exponent:
            d = diffusivity * np.exp(exponent * (np.minimum(mc, saturation) - saturation) / 100)
            inside = r * (mc[:-1] - mc[1:]) / (cell_m[:-1] / 2 / d[:-1] + cell_m[1:] / 2 / d[1:])
            at_face = d[-1]
        else:
            inside = diffusivity * r * (mc[:-1] - mc[1:]) / apart_m
            at_face = diffusivity
        wet = surface * r * (saturation - emc)
        drying = r * (mc[-1] - emc) / (cell_m[-1] / 2 / at_face + 1 / surface)
        out = np.append(inside, min(wet, drying))
        out[1:] -= inside
        return -out / cell_m

    mc = np.full(len(width), float(start_pct))
    means, faces = [float(start_pct)], [float(start_pct)]
    for r, emc in zip(speed, emc_pct, strict=True):
        found = solve_ivp(
            rate, (0.0, SECONDS_A_DAY), mc, method="LSODA", rtol=rtol, atol=atol, args=(float(r), float(emc))
        )
        mc = found.y[:, -1]
        means.append(float(width @ mc))
        faces.append(float(mc[-1]))
    return np.array(means), np.array(faces)
