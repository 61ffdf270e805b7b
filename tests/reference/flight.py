"""The same work as src/flight, written independently on scipy, for times and for new check values.

    python3 tests/reference/flight.py            # needs numpy and scipy

Flies one service to its third bounce (DOP853, rtol 1e-9, events) and aims one with least_squares
from six starts (three targets: y of the receiver's bounce, next bounce, height over the net), then
prints the results and the time of each. Frame and symbols as in the flight module.
"""

import time

import numpy as np
from scipy.integrate import solve_ivp
from scipy.optimize import least_squares

M, R, G, RHO, CD, LIFT_A, LIFT_B, E, MU = 0.0027, 0.02, 9.81, 1.204, 0.54, 0.5, 3.0, 0.93, 0.25
NET_X, NET_Z = 1.37, 0.1525
K = RHO * np.pi * R**2 / (2 * M)


def launch(outlet, speed, elevation_deg, azimuth_deg, spin):
    theta, alpha = np.radians([elevation_deg, azimuth_deg])
    f = np.array([np.cos(theta) * np.cos(alpha), np.cos(theta) * np.sin(alpha), np.sin(theta)])
    l = np.array([-np.sin(alpha), np.cos(alpha), 0.0])
    u = np.cross(f, l)
    w = 2 * np.pi * (spin[0] * l + spin[1] * u + spin[2] * f)
    return np.concatenate([outlet, speed * f]), w


def air(_, s, w):
    v = s[3:]
    speed = np.linalg.norm(v)
    lift = K * R * speed / (LIFT_A * speed + LIFT_B * R * np.linalg.norm(w))
    a = -K * CD * speed * v + lift * np.cross(w, v)
    a[2] -= G
    return np.concatenate([v, a])


def bounce(s, w):
    v = s[3:].copy()
    slip = np.array([v[0] - R * w[1], v[1] + R * w[0]])
    alpha = min(MU * (1 + E) * abs(v[2]) / max(np.hypot(*slip), 1e-12), 0.4)
    after = w + 1.5 * alpha / R * np.array([-slip[1], slip[0], 0.0])
    return np.concatenate([s[:3], [v[0] - alpha * slip[0], v[1] - alpha * slip[1], -E * v[2]]]), after


def touches(_, s, w):
    return s[2] - R


touches.terminal, touches.direction = True, -1


def over_net(_, s, w):
    return s[0] - NET_X


over_net.direction = 1


def fly(s, w, bounces=3, rtol=1e-9):
    """Bounces as (t, x, y), and z at the first crossing of the net."""
    t, found, net_z = 0.0, [], None
    for _ in range(bounces):
        leg = solve_ivp(
            air, (t, t + 4), s, method="DOP853", rtol=rtol, atol=1e-11,
            events=(touches, over_net), args=(w,),
        )
        if net_z is None and len(leg.t_events[1]):
            net_z = leg.y_events[1][0][2]
        if not len(leg.t_events[0]):
            break
        t, s = leg.t_events[0][0], leg.y_events[0][0]
        found.append((t, s[0], s[1]))
        s, w = bounce(s, w)
        s[2] = R + 1e-12
    return found, net_z


def aim(outlet, spin, y, next_x, clearance):
    def miss(unknowns):
        found, net_z = fly(*launch(outlet, *unknowns, spin), rtol=1e-8)
        if len(found) < 3 or net_z is None:
            return np.full(3, 10.0)
        return [found[1][2] - y, found[2][1] - next_x, (net_z - NET_Z - R - clearance) / 0.3]

    azimuth = np.degrees(np.arctan2(y - outlet[1], 2.0 - outlet[0]))
    starts = [(5.6, -14), (7.5, -12), (6.5, -9), (9.5, -10), (4.2, -10), (5.5, -20)]
    ends = [least_squares(miss, (*start, azimuth), x_scale=(1, 5, 5)) for start in starts]
    return min(ends, key=lambda end: end.cost)


def timed(what, work, times):
    result = work()
    start = time.perf_counter()
    for _ in range(times):
        work()
    print(f"{what}: {(time.perf_counter() - start) / times * 1e3:.3f} ms")
    return result


if __name__ == "__main__":
    outlet, spin = np.array([-0.1, 0.6, 0.25]), (-20.0, 20.0, 0.0)
    found, net_z = timed("one flight", lambda: fly(*launch(outlet, 6.7, -13.0, -20.0, spin)), 20)
    print("  bounces", [[round(float(v), 6) for v in b] for b in found], "net z", round(net_z, 6))
    end = timed("one aim", lambda: aim(outlet, (-30.0, 0, 0), -0.4, 2.5, 0.03), 1)
    print("  speed, elevation, azimuth", np.round(end.x, 4), "cost", end.cost)
