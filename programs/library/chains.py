"""Regression chains: for an exercise the movement one step easier, when pain asks for it. Common practice, no source.

Each step keeps the region and the kind of repetition and takes away load, range, balance or a limb's work. What suits
a person in pain is decided by the coach, or by the clinician who treats them.
"""

from itertools import pairwise

_CHAINS = """
    back_squat front_squat goblet_squat box_squat
    leg_press box_squat
    single_leg_press leg_press
    rear_foot_elevated_split_squat split_squat step_up box_squat
    walking_lunge split_squat
    lateral_lunge split_squat
    step_down box_squat
    deadlift romanian_deadlift dumbbell_romanian_deadlift band_good_morning bird_dog
    single_leg_romanian_deadlift dumbbell_romanian_deadlift
    hip_thrust glute_bridge
    single_leg_glute_bridge glute_bridge
    cable_pull_through glute_bridge
    back_extension bird_dog
    leg_extension band_knee_extension
    single_leg_extension band_knee_extension
    nordic_lowering lying_leg_curl
    single_leg_curl lying_leg_curl
    single_leg_calf_raise standing_calf_raise seated_calf_raise
    hip_abduction band_lateral_walk
    cable_crunch curl_up dead_bug
    cable_anti_rotation_press anti_rotation_press
    farmers_carry suitcase_carry
    bench_press dumbbell_bench_press machine_chest_press incline_push_up
    close_grip_bench_press dumbbell_bench_press
    incline_bench_press incline_dumbbell_press machine_chest_press
    dip push_up incline_push_up
    dumbbell_fly cable_fly
    overhead_press seated_dumbbell_press machine_shoulder_press
    pull_up lat_pulldown band_pulldown
    barbell_row chest_supported_row seated_cable_row band_row
    one_arm_dumbbell_row chest_supported_row
    rear_delt_fly band_pull_apart
    face_pull band_pull_apart
    lateral_raise cable_lateral_raise
    seated_lateral_raise cable_lateral_raise
    barbell_shrug dumbbell_shrug
    barbell_curl dumbbell_curl hammer_curl
    fixed_bar_curl dumbbell_curl
    lying_triceps_extension triceps_pushdown
    overhead_triceps_extension triceps_pushdown
"""

EASIER: dict[str, str] = {
    harder: easier for chain in (line.split() for line in _CHAINS.split("\n")) for harder, easier in pairwise(chain)
}
