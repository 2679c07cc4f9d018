"""What each class did, lesson by lesson. A station is (kind, skill): a `hold` of the whole class
with one clock, a `summary` of how a station went, a `tick` of a safe habit, or `tries` in groups.
"""

HOLD, SUMMARY, TICK, TRIES = "hold", "summary", "tick", "tries"

TUESDAY = {
    1: [
        (HOLD, "standing_tight"),
        (HOLD, "hands_and_knees_table"),
        (SUMMARY, "soft_landing"),
        (TICK, "stop_word"),
        (TICK, "counting_in"),
        (TRIES, "sole_to_sole_lean"),
    ],
    2: [
        (HOLD, "chair_hold"),
        (HOLD, "hands_and_knees_table"),
        (SUMMARY, "soft_landing"),
        (SUMMARY, "rock_to_stand"),
        (TICK, "stop_word"),
        (TICK, "counting_in"),
        (TRIES, "sole_to_sole_lean"),
    ],
    3: [
        (HOLD, "front_plank"),
        (HOLD, "lunge_hold"),
        (HOLD, "chair_hold"),
        (SUMMARY, "bear_walk"),
        (SUMMARY, "rock_to_stand"),
        (TRIES, "facing_lean_squat"),
    ],
    4: [
        (HOLD, "front_plank"),
        (HOLD, "lunge_hold"),
        (SUMMARY, "bear_walk"),
        (HOLD, "arch_hold"),
        (TRIES, "facing_lean_squat"),
        (TRIES, "facing_lean_straight"),
    ],
    5: [
        (HOLD, "standing_tight"),
        (HOLD, "inverted_v"),
        (SUMMARY, "step_off_land_soft"),
        (SUMMARY, "hips_over_hands_hop"),
        (TRIES, "seat_on_a_table"),
        (TRIES, "kneeling_on_a_table"),
    ],
    6: [
        (HOLD, "inverted_v"),
        (HOLD, "arch_hold"),
        (SUMMARY, "step_off_land_soft"),
        (SUMMARY, "hips_over_hands_hop"),
        (TRIES, "chest_rest_inverted_v"),
        (TRIES, "side_by_side_lean"),
    ],
    7: [
        (HOLD, "plank_feet_raised"),
        (HOLD, "front_plank"),
        (SUMMARY, "hips_over_hands_hop"),
        (TRIES, "feet_on_hips_plank"),
        (TRIES, "plank_line_of_two"),
    ],
    8: [
        (HOLD, "plank_feet_raised"),
        (SUMMARY, "hollow_hold"),
        (SUMMARY, "step_off_land_soft"),
        (TRIES, "chest_rest_inverted_v"),
        (TRIES, "side_by_side_lean"),
        (TRIES, "feet_on_hips_plank"),
    ],
    9: [
        (HOLD, "lunge_hold"),
        (SUMMARY, "plank_hand_walk"),
        (SUMMARY, "log_roll"),
        (TRIES, "plank_line_of_three"),
        (TRIES, "seat_on_a_table"),
    ],
    10: [
        (HOLD, "plank_feet_raised"),
        (SUMMARY, "plank_hand_walk"),
        (SUMMARY, "lower_and_roll_out"),
        (TRIES, "kneeling_on_a_table"),
        (TRIES, "walking_plank_line"),
    ],
    11: [
        (HOLD, "standing_tight"),
        (SUMMARY, "jump_on_the_count"),
        (SUMMARY, "lower_and_roll_out"),
        (TRIES, "standing_on_a_table"),
    ],
    12: [
        (HOLD, "inverted_v"),
        (SUMMARY, "plank_hand_walk"),
        (TRIES, "facing_lean_one_arm"),
        (TRIES, "chest_rest_inverted_v"),
        (TRIES, "kneeling_on_a_table"),
    ],
    13: [
        (HOLD, "inverted_v"),
        (SUMMARY, "jump_on_the_count"),
        (TRIES, "side_by_side_lean"),
        (TRIES, "walking_plank_line"),
        (TRIES, "kneeling_on_a_table"),
    ],
}

# The other classes go round lists like these: two solo stations a lesson, and one or two in groups.
BEGINNERS = {
    "solo": [
        "standing_tight",
        "hands_and_knees_table",
        "soft_landing",
        "chair_hold",
        "rock_to_stand",
        "front_plank",
        "lunge_hold",
        "bear_walk",
        "arch_hold",
        "step_off_land_soft",
        "inverted_v",
    ],
    "groups": [
        "sole_to_sole_lean",
        "facing_lean_squat",
        "facing_lean_squat",
        "facing_lean_straight",
        "mirror_planks",
        "seat_on_a_table",
        "facing_lean_straight",
    ],
}
MIXED = {
    "solo": [
        "front_plank",
        "inverted_v",
        "seal_stretch",
        "belly_up_table",
        "bear_walk",
        "plank_feet_raised",
        "bridge_from_the_floor",
        "hips_over_hands_hop",
        "forward_roll",
        "hollow_hold",
        "step_off_land_soft",
    ],
    "groups": [
        "facing_lean_squat",
        "facing_lean_straight",
        "seat_on_a_table",
        "resting_arch",
        "kneeling_on_a_table",
        "side_by_side_lean",
        "chest_rest_inverted_v",
    ],
}
SECOND_YEAR = {
    "solo": [
        "plank_feet_raised",
        "plank_hand_walk",
        "hips_over_hands_hop",
        "bridge_from_the_floor",
        "cartwheel_over_a_block",
        "lying_leg_press_hold",
        "tucked_headstand",
        "jump_on_the_count",
        "bridge_rocking",
        "lower_and_roll_out",
    ],
    "groups": [
        "side_by_side_lean",
        "kneeling_on_a_table",
        "feet_on_hips_plank",
        "standing_on_a_table",
        "lift_and_set_down",
        "plank_line_of_two",
        "plank_line_of_three",
        "facing_lean_one_arm",
    ],
}
SENIORS = {
    "solo": [
        "wall_walk_to_handstand",
        "stand_to_bridge",
        "bridge_to_stand",
        "cartwheel_on_a_line",
        "kick_to_handstand",
        "bridge_one_leg_up",
        "push_up",
        "lying_leg_press_hold",
        "cartwheel_on_a_line",
    ],
    "groups": [
        "front_balance_on_feet",
        "thigh_stand_facing_base",
        "seat_carry_two_bases",
        "plank_on_a_plank",
        "walking_plank_line",
        "thigh_stand_facing_out",
        "ring_lean",
        "front_balance_on_feet",
    ],
}
PROGRAMS = {
    "Thursday second year": SECOND_YEAR,
    "Saturday seniors": SENIORS,
    "Monday beginners": BEGINNERS,
    "Wednesday mixed": MIXED,
    "Friday mixed": MIXED,
}

# What a class could do before the term: these families need no spot any more.
KNOWN_BEFORE = {
    "Thursday second year": ("tight", "safe", "pairs", "turns", "lean"),
    "Saturday seniors": (
        "tight",
        "safe",
        "pairs",
        "turns",
        "lean",
        "prop",
        "lift",
        "line",
        "hands",
    ),
    "Wednesday mixed": ("safe", "pairs", "tight"),
    "Friday mixed": ("safe", "pairs", "tight"),
}
