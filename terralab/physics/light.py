"""Light at the plants: of lamps, of windows, through glass and mesh. Photosynthetic light, 400 to 700 nm.

Photons are umol/s, light is umol/m2/s on a level place, lengths m, areas m2, angles degrees. What cannot be gives NaN.
"""

import math

from terralab.jit import kernel


def lamp_photons(power, photons_per_joule):
    """Photons [umol/s] that a lamp of `power` [W] gives, at `photons_per_joule` [umol/J]: their product. 0 W give none.

    NaN if one of the two is below 0 or endless.
    """
    if not (0.0 <= power < math.inf and 0.0 <= photons_per_joule < math.inf):
        return math.nan
    return power * photons_per_joule


def direct_share(distance, floor, beam):
    """Share [-] of a lamp's photons that fall straight on a `floor` [m2] `distance` [m] below it; the rest meets walls.

    The lamp is small and hangs over the middle; the floor counts as a disc of its area. `beam` [degrees] is the full
    angle at which the brightness has fallen to half: intensity as cos^m with m = -ln 2/ln cos(beam/2), so the share is
    1 - (d/sqrt(d^2 + floor/pi))^(m+1). 120 degrees is a bare flat lamp (m = 1): floor/(floor + pi d^2). Geometry. A bar
    as long as the box loses up to a fifth more beside the plants. NaN for a distance below 0, a floor not above 0, a
    beam not between 0 and 180.
    """
    if not (0.0 <= distance < math.inf and 0.0 < floor < math.inf and 0.0 < beam < 180.0):
        return math.nan
    power = 1.0 - math.log(2.0) / math.log(math.cos(math.radians(0.5 * beam)))
    edge = distance / math.hypot(distance, math.sqrt(floor / math.pi))  # cosine of the angle to the edge of the disc
    return -math.expm1(power * math.log(edge)) if edge > 0.0 else 1.0


def shares_of_light(distance, floor, walls, reflects, returns, beam):
    """Photons that meet plants, walls and lid, each as a share of the lamp's [-]; thrown back, a photon meets again.

    `distance` [m] is that from lamp to plants, `walls` [m2] stand between both, and the lid is as large as the `floor`
    [m2] that the plants take. Walls and lid throw back the share `reflects`, the plants `returns`, each evenly over the
    whole of the space: what is thrown back D meets each surface by its area A_i/A, and again D r/(1 - r) with r the mean
    of what all throw back. So what is taken up, (1 - share thrown back) times what meets, comes to the lamp's photons
    exactly: none is made. `direct_share` gives the first meeting. NaN where that is, for walls below 0, and unless both
    shares are 0 to 1, less than 1 for one of them.
    """
    straight = direct_share(distance, floor, beam)
    nothing = math.nan, math.nan, math.nan
    if not (straight >= 0.0 and 0.0 <= walls < math.inf and 0.0 <= reflects <= 1.0 and 0.0 <= returns <= 1.0):
        return nothing
    space = 2.0 * floor + walls
    mean = (reflects * (floor + walls) + returns * floor) / space
    if mean >= 1.0:
        return nothing
    # without walls what misses the plants goes to the room and never meets anything
    missed = 1.0 - straight if walls > 0.0 else 0.0
    scattered = (returns * straight + reflects * missed) / (1.0 - mean)
    return straight + scattered * floor / space, missed + scattered * walls / space, scattered * floor / space


def lamp_light_at(photons, distance, floor, walls, reflects, returns, beam):
    """Light [umol/m2/s] on the plants, the mean over `floor` [m2], `distance` [m] below a lamp of `photons` [umol/s].

    The other arguments are those of `shares_of_light`. The mean hides a bright middle: under four spots the light of
    places differed by 40 % (standard deviation) at 20 cm and by 6 % at 111 cm (Perez and others 2025). NaN where the
    shares are, and for photons below 0.
    """
    share = shares_of_light(distance, floor, walls, reflects, returns, beam)[0]
    if not (0.0 <= photons < math.inf and share >= 0.0):
        return math.nan
    return photons * share / floor


def lid_passes(lid, bare, meshed, open_share, glass):
    """Share [-] of the light on a lid that comes through: bare holes all, meshes their open share, the rest as `glass`.

    `lid`, `bare` and `meshed` are areas [m2]; `open_share` is that of the mesh, `glass` what its panes let through (0 for
    a board). Slanting light passes less of a mesh than its open share, and dust takes its part; both are left to the
    ranges. NaN unless the lid is above 0 and holds both kinds of holes, and unless both shares are 0 to 1.
    """
    if not (0.0 < lid < math.inf and bare >= 0.0 and meshed >= 0.0 and bare + meshed <= lid * (1.0 + 1e-9)):
        return math.nan
    if not (0.0 <= open_share <= 1.0 and 0.0 <= glass <= 1.0):
        return math.nan
    return (bare + meshed * open_share + max(0.0, lid - bare - meshed) * glass) / lid


def window_light(distance, at_pane, share_1_m, share_3_m):
    """Light [umol/m2/s] `distance` [m] inside a window: `at_pane` beside it, and two shares of that 1 m and 3 m inside.

    Between the three the light falls by equal shares for equal steps; further in it goes on as from 1 to 3 m. Daylight
    factors, from memory, give the three for a grey sky (table of defaults, "window"). NaN for a distance below 0 or light
    below 0, and unless 1 >= share_1_m >= share_3_m > 0.
    """
    if not (0.0 <= distance < math.inf and 0.0 <= at_pane < math.inf and 1.0 >= share_1_m >= share_3_m > 0.0):
        return math.nan
    if distance <= 1.0:
        return at_pane * share_1_m**distance
    return at_pane * share_1_m * (share_3_m / share_1_m) ** (0.5 * (distance - 1.0))


@kernel
def day_course(hour, rises, sets):
    """Daylight at an `hour` of the day [h], as a share of its highest [-]: sin(pi (hour - rises)/(sets - rises)).

    0 before the sun `rises` and after it `sets` [h, 0 to 24 of the clock on the wall]. A shape, not a sky: clouds and
    the side of a window move it. Its mean over the light hours is 2/pi. NaN unless the hour is 0 to 24 and
    0 <= rises < sets <= 24.
    """
    if not (0.0 <= hour <= 24.0 and 0.0 <= rises < sets <= 24.0):
        return math.nan
    if hour <= rises or hour >= sets:
        return 0.0
    return math.sin(math.pi * (hour - rises) / (sets - rises))


def light_of_lux(lux, lux_per_umol):
    """Light [umol/m2/s] where a meter reads `lux`, at `lux_per_umol` of the kind of light (Thimijan & Heins 1983).

    NaN for a reading below 0, and unless lux_per_umol is above 0.
    """
    if not (0.0 <= lux < math.inf and 0.0 < lux_per_umol < math.inf):
        return math.nan
    return lux / lux_per_umol


def lux_of_light(light, lux_per_umol):
    """What a meter reads [lux] in `light` [umol/m2/s]; the way back of `light_of_lux`. NaN for the same."""
    if not (0.0 <= light < math.inf and 0.0 < lux_per_umol < math.inf):
        return math.nan
    return light * lux_per_umol


def light_heat(light, umol_per_joule, par_share):
    """Heat [W/m2] of `light` [umol/m2/s] where all of it is taken up, with the rays that come along unseen.

    `umol_per_joule` [umol/J] of the light between 400 and 700 nm: 4.57 in daylight, 4.59 of metal halide and white
    tubes, 5.0 of a glowing wire (Thimijan & Heins 1983, as quoted). `par_share` [-] is the share of all its rays that is
    such light: 1 for a lamp whose heat rays are counted by themselves. NaN for light below 0, and unless umol_per_joule
    is above 0 and the share above 0 and at most 1.
    """
    if not (0.0 <= light < math.inf and 0.0 < umol_per_joule < math.inf and 0.0 < par_share <= 1.0):
        return math.nan
    return light / umol_per_joule / par_share
