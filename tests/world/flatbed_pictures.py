"""The committed flatbed pictures: names, seeds and what each is to show. The seed draws all that is not named here."""
import flatbed_scene

GREY_PNG = {"kind": "png", "grey": True}
SHORT = {"length_mm": 138.0}

# name: (seed, what it shows, what is fixed)
PLAN = {
    "flatbed-01": (7101, "Plain walnut on a white lid, one lamp.",
                   dict(paper="letter", tone="walnut", lid="white", lamps=1, sensor="ccd")),
    "flatbed-02": (7102, "Plain maple on a black lid, lamps on both sides.",
                   dict(paper="a4", tone="maple", lid="black", lamps=2, sensor="ccd")),
    "flatbed-03": (7103, "Pine sawn flat, cathedral figure, on a black lid.",
                   dict(wood="cathedral", tone="pine", lid="black", lamps=1, sensor="ccd")),
    "flatbed-04": (7104, "Pine with knots on a black lid.", dict(paper="a4", wood="knot", tone="pine", lid="black", lamps=1, sensor="ccd")),
    "flatbed-05": (7105, "Walnut with bright pores on a white lid.", dict(wood="bright-pores", tone="walnut", lid="white", lamps=2)),
    "flatbed-06": (7106, "Cherry, both edges bowed by 0.3 mm, on a white lid.",
                   dict(tone="cherry", lid="white", edges="bow", strip={"amount_mm": 0.3, "length_mm": 245.0})),
    "flatbed-07": (7107, "Oak, edges that waver by 10 thou, on a black lid.",
                   dict(tone="oak", lid="black", edges="waver", strip={"amount_mm": 0.254})),
    "flatbed-23": (7123, "Two strips side by side.", dict(tone="walnut", lid="white", what="two", sensor="ccd", lamps=1)),
    "flatbed-24": (7124, "A strip broken in two, the lid to be seen in the gap.",
                   dict(tone="mahogany", lid="white", what="broken", sensor="ccd", lamps=1)),
    "flatbed-25": (7125, "The channel is empty, the lid lies on the sheet.", dict(lid="white", what="empty")),
    "flatbed-08": (7108, "Mahogany, the board slipped during the cut, on a white lid.", dict(tone="mahogany", lid="white", edges="kink")),
    "flatbed-09": (7109, "Beech with rough edges on a black lid.", dict(tone="beech", lid="black", edges="rough")),
    "flatbed-10": (7110, "Walnut, edges with a roughness of all lengths, on a white lid.",
                   dict(tone="walnut", lid="white", edges="fractal", sensor="contact")),
    "flatbed-11": (7111, "Cherry, torn out and burnt, on a dirty lid.", dict(tone="cherry", lid="dirty", edges="torn", lamps=1, sensor="ccd")),
    "flatbed-12": (7112, "Oak with rays on a black lid, contact sensor.", dict(wood="rays", tone="oak", lid="black", sensor="contact")),
    "flatbed-13": (7113, "Pine with streaks of resin on a black lid.", dict(paper="letter", wood="resin", tone="pine", lid="black")),
    "flatbed-14": (7114, "Spalted maple on a white lid.", dict(wood="spalted", tone="maple", lid="white")),
    "flatbed-15": (7115, "Cherry, rings cut steeply, on a white lid.", dict(wood="steep", tone="cherry", lid="white")),
    "flatbed-16": (7116, "Beech cut across the grain on a dirty lid.", dict(wood="crossgrain", tone="beech", lid="dirty")),
    "flatbed-17": (7117, "Fibreboard on a white lid.", dict(wood="fibreboard", tone="beech", lid="white", lamps=2, sensor="ccd")),
    "flatbed-18": (7118, "Wenge on a black lid: hardly any difference.", dict(tone="wenge", lid="black", sensor="ccd")),
    "flatbed-19": (7119, "Plain maple on a white lid.", dict(tone="maple", lid="white", lamps=1, sensor="ccd")),
    "flatbed-20": (7120, "Walnut at 600 dpi, contact sensor.",
                   dict(tone="walnut", lid="white", dpi=600, crop_mm=160.0, strip=SHORT, sensor="contact")),
    "flatbed-21": (7121, "Pine, cathedral figure, at 600 dpi, one lamp.",
                   dict(wood="cathedral", tone="pine", lid="black", dpi=600, crop_mm=160.0, strip=SHORT, sensor="ccd", lamps=1)),
    "flatbed-22": (7122, "A shorter strip of birch, saved without loss.",
                   dict(tone="birch", lid="black", crop_mm=160.0, strip=SHORT, jpeg=GREY_PNG, sharpen=0.0)),
    "flatbed-26": (7126, "Birch, both edges bowed, on a black lid.", dict(tone="birch", lid="black", edges="bow", lamps=2, sensor="ccd")),
    "flatbed-27": (7127, "Walnut, edges that waver by 4 thou, contact sensor.",
                   dict(tone="walnut", lid="white", edges="waver", strip={"amount_mm": 0.1016}, sensor="contact")),
}


def scene(name):
    seed, shows, fixed = PLAN[name]
    return flatbed_scene.draw_scene(name, seed, shows, **fixed)
