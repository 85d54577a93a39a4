"""Rows of the table of dials that winding and loosing alone need; None means not known.

Defaults that are marked common practice are starting values for a first look, not a design.
"""

from slingwright.machine.table.dial import Dial, name_dial, number_dial

RIGGINGS = ("tackle", "led")
_MARK, _ALONG, _DOWN = (0.0, 5e6), (-60.0, 60.0), (-40.0, 20.0)
_PLACE = (-2000.0, 2000.0)
_RATED = "Working load limit (WLL) stamped on the piece; empty: unrated, so never known to hold."


def _row(
    path: str,
    symbol: str,
    unit: str,
    label: str,
    limits: tuple[float, float],
    step: float,
    default: float | None,
    help: str,
) -> Dial:
    return number_dial(path, symbol, unit, label, limits, step, help, default=default)


WINDING: tuple[Dial, ...] = (
    _row("crew.loosings", "n_h", "-", "Shots wanted an hour", (0.1, 120.0), 0.1, 3.0,
         "What is asked."),
    _row("crew.serve_time", "t_s", "s", "Time to load, clear and loose", (0.0, 7200.0), 10.0, 300.0,
         "From the end of winding to the next start, if the crew needs no longer rest."),
    _row("crew.working_share", "k_t", "-", "Share of the time turning", (0.1, 1.0), 0.05, 1.0,
         "1 for a crank; about 0.5 where handspikes are shipped again (common practice)."),
    _row("crew.gear_efficiency", "eta_g", "-", "Efficiency of gear and bearings", (0.3, 1.0),
         0.01, 0.95,
         "Work at the drum over work at the handles."),
    name_dial("rig.rigging", "Rigging", "tackle",
              "tackle: from the winch straight to the arm; led: over a lead block on the frame.",
              choices=RIGGINGS),
    _row("rig.lead_x", "x_k", "m", "Lead block along", _DOWN, 0.05, None,
         "Forward of the axle positive; empty: between axle and winch. Only for a led rope."),
    _row("rig.lead_y", "y_k", "m", "Lead block up", (0.0, 20.0), 0.05, None,
         "Above the ground; empty: as high as the winch. Only for a led rope."),
    _row("rig.drum_width", "w_d", "m", "Drum length between flanges", (0.05, 5.0), 0.05, 0.6,
         "Of each half where there are two. A short drum fills more layers, which wind harder."),
    _row("rig.share", "k_r", "-", "Pull of the most loaded rope", (0.5, 1.0), 0.05, 1.0,
         "Of two, one on each side: 1 if one may hang slack, 0.6 with an equaliser."),
    _row("rig.teeth", "z_s", "-", "Teeth of the ratchet", (4.0, 400.0), 1.0, 24.0,
         "On the drum: it falls back by one tooth if the pawl drops in late (common practice)."),
    _row("rig.member_slope", "a_m", "deg", "Slope of the member under the winch", (-90.0, 90.0),
         1.0, 0.0,
         "0 for a sill; its pull is split along and across this member."),
    _row("rig.overhang", "l_o", "m", "Overhang past the inner bolts", (0.0, 10.0), 0.05, 1.0,
         "Length of the bolted extension of the member that the pull across bends."),
    _row("rig.offset", "e_r", "m", "Rope above the member's axis by", (-2.0, 2.0), 0.01, 0.15,
         "Height at which the pull along bends the extension."),
    _row("rig.handspike", "l_w", "m", "Handspike, axis to hand", (0.05, 10.0), 0.05, None,
         "Where hands push if handspikes turn the drum; only for comparing ways to rig it."),
    name_dial("rope.rope_kind", "Winding rope", "manila",
              "Kind of winding rope; its diameter is winch.rope.", table="ropes"),
    name_dial("rope.rope_use", "Design factor for", "fibre rope, winding",
              "The use sets the design factor.", table="rope_uses"),
    name_dial("rope.end", "Made fast with", "eye splice",
              "A knot costs strength, a splice little.", table="knots"),
    name_dial("rope.sheave_kind", "Sheaves for", "fibre rope", "Sets the least sheave over rope.",
              table="rope_sheaves"),
    _row("rope.sheave", "D_s", "m", "Smallest sheave", (0.005, 2.0), 0.005, None, "Diameter."),
    _row("rope.rope_length", "L_r", "m", "Length of the rope", (0.1, 500.0), 0.5, None, "In all."),
    _row("mark.shackle_rating", "R_s", "N", "Shackle at the arm, rated", _MARK, 100.0, None,
         _RATED),
    _row("mark.arm_block_rating", "R_a", "N", "Block at the arm, rated", _MARK, 100.0, None,
         _RATED),
    _row("mark.frame_block_rating", "R_f", "N", "Block at the frame, rated", _MARK, 100.0, None,
         _RATED),
    _row("mark.hook_rating", "R_h", "N", "Hook that holds the arm, rated", _MARK, 100.0, None,
         _RATED),
    _row("mark.pawl_rating", "R_p", "N", "Pawl of the ratchet, rated", _MARK, 100.0, None, _RATED),
    _row("hook.on_arm", "a_h", "m", "Hook on the arm at", (0.05, 40.0), 0.05, None,
         "From the axle along the long arm; empty: at its tip."),
    _row("hook.x", "x_h", "m", "Hook's anchor, along", _ALONG, 0.05, None,
         "Forward of the axle positive; empty: straight down from where the hook takes the arm."),
    _row("hook.y", "y_h", "m", "Hook's anchor, up", (0.0, 20.0), 0.05, 0.0,
         "Above the ground; counts only where the anchor's place along is given."),
    _row("hook.curve", "r_k", "m", "Radius of the finger", (0.001, 0.2), 0.001, 0.012,
         "Of the finger's curve under the ring."),
    _row("hook.offset", "e_h", "m", "Pivot off the load's line", (-0.1, 0.1), 0.0005, 0.002,
         "Positive: the load presses the finger shut. Negative: friction alone holds it."),
    _row("hook.pin", "r_p", "m", "Radius of the pivot pin", (0.0005, 0.1), 0.001, 0.008,
         "Half its size."),
    _row("hook.lever", "l_h", "m", "Lever of the lanyard", (0.02, 3.0), 0.01, 0.20,
         "Pivot to lanyard."),
    _row("hook.friction", "mu_k", "-", "Friction in the hook", (0.0, 1.0), 0.01, 0.12,
         "Of ring on finger and finger on pin; greased steel about 0.12 (Morin, from memory)."),
    _row("hook.slippery", "mu_o", "-", "Least friction foreseen", (0.0, 1.0), 0.01, 0.03,
         "Oil or ice: oiled steel 0.03 to 0.05 (S. A. Hill)."),
    _row("hook.person_x", "x_p", "m", "Person who looses, along", _ALONG, 0.5, None,
         "Forward of the axle positive; empty: abreast of the hook."),
    _row("hook.person_z", "z_p", "m", "Person who looses, beside", _ALONG, 0.5, None,
         "To the left of the plane of the throw; empty: just outside the ground to keep clear."),
    *(
        row
        for key, symbol, who, at in (
            ("winders", "w", "Who winds", "abreast of the drum, clear of the crank"),
            ("loader", "l", "Who loads", "beside the trough where the projectile lies"),
            ("helper", "h", "Helper with the phone", "behind the one who looses"),
            ("public", "b", "Everyone else", "at the side, away from the lanyard"),
        )
        for row in (
            _row(f"place.{key}_x", f"x_p{symbol}", "m", f"{who}, along", _PLACE, 0.5, None,
                 f"Forward of the axle positive; empty: {at}."),
            _row(f"place.{key}_z", f"z_p{symbol}", "m", f"{who}, beside", _PLACE, 0.5, None,
                 f"To the left positive; empty: {at}."),
        )
    ),
    _row("prong.friction", "mu_p", "-", "Ring on prong", (0.0, 1.0), 0.01, 0.20, "As it is now."),
    _row("prong.wet", "mu_w", "-", "Ring on prong, wet", (0.0, 1.0), 0.01, 0.10, "Least foreseen."),
    _row("prong.dry", "mu_d", "-", "Ring on prong, dry", (0.0, 1.0), 0.01, 0.30, "Most foreseen."),
)  # fmt: skip
"""The rows, in the order shown; names of ropes, uses, knots and sheaves stand in the tables."""
