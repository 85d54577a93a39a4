"""Rows of the table of dials that strength, sling and frame need and the motion does not.

Defaults that are marked common practice are starting values for a first look, not a design.
"""

from slingwright.machine.table.dial import Dial, flag_dial, name_dial, number_dial

ARM_SECTIONS = ("rectangle", "round", "laminated")

# fmt: off
_ARM = (
    name_dial("arm.section", "Arm section", "rectangle",
        "Shape of the arm's section: rectangle, round (by depth) or laminated in flat layers.",
        choices=ARM_SECTIONS),
    number_dial("arm.layers", "n_l", "-", "Arm layers", (1.0, 40.0), 1.0,
        "Equal flat layers of a laminated arm.", default=4.0, whole=True),
    number_dial("arm.bond", "gamma_l", "-", "Bond of the layers", (0.0, 1.0), 0.05,
        "How far the layers work as one: 1 glued, 0 loose, between for bolts and bands.",
        default=1.0),
    number_dial("arm.hole", "d_o", "m", "Hole for the axle", (0.0, 1.0), 0.001,
        "Hole through the arm for the axle; 0 where the arm is strapped to it."),
    number_dial("arm.splice", "x_s", "m", "Splice on the long arm", (0.0, 40.0), 0.05,
        "Where the long arm is spliced, from the axle; 0 for an arm of one piece.", default=0.0),
    number_dial("arm.splice_keeps", "k_j", "-", "Splice strength", (0.05, 1.0), 0.05,
        "Share of the arm's bending strength that its splice keeps (common practice).",
        default=0.35),
)

_COUNTERWEIGHT = (
    number_dial("counterweight.breadth", "b_w", "m", "Counterweight box breadth", (0.001, 10.0),
        0.01, "Outside of the box along the axle."),
    name_dial("counterweight.timber", "Counterweight box timber", "C24",
        "Strength class of the box's boards.", table="timber"),
    number_dial("counterweight.floor", "t_f", "m", "Box floor thickness", (0.001, 0.5), 0.002,
        "Thickness of the box's floor, which spans its breadth."),
    number_dial("counterweight.side", "t_w", "m", "Box side thickness", (0.001, 0.5), 0.002,
        "Thickness of the box's sides, which the straps are bolted to."),
    number_dial("counterweight.bolts", "n_w", "-", "Bolts of a box joint", (1.0, 48.0), 1.0,
        "From a side to its floor's bearer, and to a corner post; of the straps' size.",
        default=4.0, whole=True),
)

_TROUGH = (
    number_dial("trough.board", "t_t", "m", "Trough board thickness", (0.002, 0.3), 0.002,
        "Thickness of the trough's floor; 40 mm is common practice.", default=0.04),
    number_dial("trough.bearers", "s_t", "m", "Trough bearers apart", (0.01, 10.0), 0.05,
        "From one bearer under the trough to the next."),
    number_dial("trough.bearer", "a_t", "m", "Trough bearer section", (0.002, 1.0), 0.005,
        "Side of a bearer's square section; it lies from sill to sill."),
)

_SLING = (
    name_dial("sling.rope", "Sling rope", "manila",
        "Kind of the sling's cords, a row of the rope table.", table="ropes"),
    number_dial("sling.rope_diameter", "d_s", "m", "Sling cord diameter", (0.0005, 0.2), 0.001,
        "Diameter of one cord; from the sling's mass if not given."),
    number_dial("sling.breaking", "F_s", "N", "Cord breaking force", (0.0, 5.0e6), 100.0,
        "Breaking force of one cord as its maker gives it; 0 takes the rope table's.", default=0.0),
    number_dial("sling.cords", "n_c", "-", "Sling cords", (1.0, 8.0), 1.0,
        "Cords that share the sling's pull.", default=2.0, whole=True),
    name_dial("sling.knot", "Sling knot", "bowline",
        "Worst knot or splice in the cords, a row of the knot table.", table="knots"),
    number_dial("sling.factor", "f_s", "-", "Sling design factor", (1.0, 20.0), 0.5,
        "How many times stronger than its peak pull each cord has to be.", default=7.0),
    number_dial("sling.pouch_width", "w_q", "m", "Pouch width", (0.001, 10.0), 0.01,
        "Width of the pouch's cloth or leather where it carries the pull."),
    number_dial("sling.pouch_strength", "s_q", "N/m", "Pouch strength", (100.0, 1.0e7), 1000.0,
        "Breaking force of the pouch's cloth per width; 40 kN/m is heavy canvas.",
        default=40_000.0),
)

_PRONG = (
    number_dial("prong.diameter", "d_p", "m", "Prong diameter", (0.001, 0.3), 0.001,
        "Diameter of the prong at its root."),
    number_dial("prong.length", "l_p", "m", "Prong length", (0.001, 1.0), 0.005,
        "Root of the prong to the seat of the ring."),
    name_dial("prong.grade", "Prong steel", "S235", "Grade of the prong's steel.", table="steel"),
)

_AXLE = (
    number_dial("axle.support", "s_u", "m", "Axle support pieces", (0.0, 6.0), 0.01,
        "How far a piece under the axle reaches in from each side and shortens its span.",
        default=0.0),
    number_dial("axle.support_depth", "h_u", "m", "Support piece depth", (0.005, 2.0), 0.005,
        "Height of a support piece's section; empty: not known."),
    number_dial("axle.support_width", "b_u", "m", "Support piece width", (0.005, 2.0), 0.005,
        "Breadth of a support piece's section, along the throw; empty: not known."),
    number_dial("axle.hub", "c_x", "m", "Hub width", (0.0, 10.0), 0.01,
        "Length of axle that the arm bears on; between the middles of two cheeks."),
    flag_dial("axle.cheeks", "Hub of two cheeks", False,
        "The arm bears on two narrow cheeks, not evenly."),
    number_dial("axle.bearing", "l_x", "m", "Bearing length", (0.001, 3.0), 0.005,
        "Length of the bearing on each side."),
    name_dial("axle.bushing", "Axle bushing", "oil-filled maple or oak",
        "What the axle turns in, a row of the bushing table.", table="bushings"),
    flag_dial("axle.turns", "Axle turns", True,
        "The axle turns with the arm, so its stress changes sign."),
    number_dial("axle.loosings", "N_l", "-", "Design shots", (1.0, 1.0e7), 1000.0,
        "How many shots axle, hanger pin, straps and prong are to stand.", default=10_000.0,
        whole=True),
    number_dial("axle.detail", "D_c", "Pa", "Fatigue detail", (20.0e6, 200.0e6), 1.0e6,
        "Stress range that axle, pin and prong stand two million times; 80 MPa under a hub.",
        default=80.0e6),
)

_HANGER = (
    name_dial("hanger.grade", "Hanger steel", "S235", "Steel of pin and straps.", table="steel"),
    number_dial("hanger.straps", "n_s", "-", "Straps", (2.0, 8.0), 2.0,
        "Straps that carry the box, half on each side of the arm.", default=2.0, whole=True),
    number_dial("hanger.strap_width", "b_s", "m", "Strap width", (0.002, 1.0), 0.005,
        "Width of a strap."),
    number_dial("hanger.strap_thickness", "t_h", "m", "Strap thickness", (0.0005, 0.1), 0.001,
        "Thickness of a strap."),
    number_dial("hanger.gap", "c_h", "m", "Gap beside the arm", (0.0, 0.5), 0.001,
        "Clear gap between a strap and the arm.", default=0.005),
    number_dial("hanger.bolts", "n_b", "-", "Bolts of a strap", (1.0, 24.0), 1.0,
        "Bolts that hold each strap to the box.", default=4.0, whole=True),
    name_dial("hanger.bolt", "Strap bolt", "M12", "Size of the strap's bolts.", table="bolt_sizes"),
    name_dial("hanger.bolt_grade", "Strap bolt grade", "4.6",
        "Property class of the strap's bolts.", table="bolt_grades"),
)

_FRAME = (
    name_dial("frame.timber", "Frame timber", "C24", "Strength class of the frame.",
        table="timber"),
    number_dial("frame.spread", "s_f", "m", "Spread of the feet", (0.01, 40.0), 0.05,
        "Between the feet of one A-frame, along the throw."),
    number_dial("frame.leg_depth", "d_l", "m", "Leg depth", (0.005, 2.0), 0.005,
        "Side of a leg's section in the side view."),
    number_dial("frame.leg_width", "w_l", "m", "Leg width", (0.005, 2.0), 0.005,
        "Side of a leg's section along the axle."),
    number_dial("frame.brace", "y_b", "m", "Brace height", (0.0, 30.0), 0.05,
        "Height of the level brace between the legs."),
    number_dial("frame.brace_depth", "d_b", "m", "Brace depth", (0.005, 2.0), 0.005,
        "Side of the brace's section in the side view."),
    number_dial("frame.brace_width", "w_b", "m", "Brace width", (0.005, 2.0), 0.005,
        "Side of the brace's section along the axle."),
    number_dial("frame.sill_depth", "d_i", "m", "Sill depth", (0.005, 2.0), 0.005,
        "Height of the sill's section."),
    number_dial("frame.sill_width", "w_i", "m", "Sill width", (0.005, 2.0), 0.005,
        "Breadth of the sill's section, along the axle."),
    number_dial("frame.sill_length", "L_i", "m", "Sill length", (0.01, 60.0), 0.05,
        "Whole length of a sill along the throw, its middle under the axle."),
    number_dial("frame.bolts", "n_f", "-", "Bolts of a joint", (1.0, 24.0), 1.0,
        "Bolts that hold each joint of a leg.", default=2.0, whole=True),
    name_dial("frame.bolt", "Frame bolt", "M20", "Size of the frame's bolts.", table="bolt_sizes"),
    name_dial("frame.bolt_grade", "Frame bolt grade", "4.6", "Property class of the frame's bolts.",
        table="bolt_grades"),
    number_dial("frame.plate", "t_p", "m", "Joint plates", (0.0, 0.1), 0.001,
        "Thickness of steel plates on both sides of a joint; 0 for timber on timber.", default=0.0),
    number_dial("frame.side_foot", "a_f", "m", "Side brace foot", (0.0, 30.0), 0.05,
        "How far outside an A-frame its side brace, from the head down, stands; 0 for none."),
    number_dial("frame.side_share", "k_f", "-", "Sideways share", (0.0, 1.0), 0.01,
        "Sideways force on the frame as a share of the axle's load (common practice).",
        default=0.05),
    number_dial("frame.share", "k_x", "-", "Share of one A-frame", (0.5, 1.0), 0.01,
        "Of what two A-frames carry, by an arm off the middle (common practice).", default=0.55),
)

_GROUND = (
    number_dial("base.stakes", "F_k", "N", "Stake resistance", (0.0, 1.0e7), 100.0,
        "Horizontal force that all stakes or anchors together resist; 0 for none.", default=0.0),
    number_dial("base.anchors", "F_a", "N", "Anchor resistance", (0.0, 1.0e7), 100.0,
        "Upward pull that the anchors at each end of the sills resist; 0 for none.", default=0.0),
    number_dial("base.wheel_axle", "d_w", "m", "Wheel axle diameter", (0.002, 0.5), 0.005,
        "Of the four stub axles, of the axle's steel; empty: not known."),
    number_dial("base.wheel_out", "o_w", "m", "Wheel beside the sill", (0.001, 2.0), 0.005,
        "Middle of a wheel to where its axle is held at the sill's end; empty: not known."),
    number_dial("site.service", "k_u", "-", "Service class", (1.0, 3.0), 1.0,
        "Of all timber: 1 indoors, 2 under a roof, 3 out in the weather.", default=3.0, whole=True),
    number_dial("site.load_factor", "gamma_F", "-", "Load factor", (1.0, 3.0), 0.05,
        "Partial factor on the forces of every case; 1.35 as on a known own weight (EN 1990).",
        default=1.35),
    number_dial("site.ground", "p_g", "Pa", "Ground pressure", (1.0e3, 1.0e8), 5.0e3,
        "What the ground under the sills bears; 75 kPa is firm clay (common practice).",
        default=75.0e3),
    number_dial("site.soft_corner", "k_g", "-", "Soft corner", (0.0, 0.45), 0.01,
        "Share of a sill, at one end, that the ground may leave hollow (common practice).",
        default=0.1),
    number_dial("site.gust", "v_g", "m/s", "Strongest gust", (0.0, 80.0), 1.0,
        "From the side, on the machine as it stands, nobody throwing (common practice).",
        default=20.0),
    number_dial("site.ground_friction", "mu_g", "-", "Ground friction", (0.0, 1.5), 0.05,
        "Friction of the sills on the ground; 0.4 is timber on turf (common practice).",
        default=0.4),
)

_RAILS = (
    number_dial("rails.gap", "g_s", "m", "Gap to the guide rails", (0.0, 2.0), 0.005,
        "Between the counterweight box and a rail beside it; empty: no rails."),
    number_dial("rails.stiffness", "k_i", "N/m", "Stiffness of a rail", (1.0e3, 1.0e9), 1.0e4,
        "Force over give, at the middle of the rail: push it with a load cell and measure."),
)
# fmt: on

STRENGTH: tuple[Dial, ...] = (
    *_ARM,
    *_COUNTERWEIGHT,
    *_TROUGH,
    *_SLING,
    *_PRONG,
    *_AXLE,
    *_HANGER,
    *_RAILS,
    *_FRAME,
    *_GROUND,
)
