"""What a simulated trained man can do, exercise by exercise; invented for the demo, no source.

`MAXIMUM` is the true 1RM per kg of body mass in one implement (one dumbbell of a
pair). `REPS` and `SECONDS` are what there is when fresh; for bands at the middle band.
"""

MAXIMUM: dict[str, float] = {
    "back_squat": 1.4, "front_squat": 1.15, "goblet_squat": 0.65, "leg_press": 2.3, "single_leg_press": 1.1,
    "split_squat": 0.32, "rear_foot_elevated_split_squat": 0.28, "walking_lunge": 0.3, "step_up": 0.28,
    "lateral_lunge": 0.3, "deadlift": 1.75, "romanian_deadlift": 1.35, "dumbbell_romanian_deadlift": 0.6,
    "single_leg_romanian_deadlift": 0.32, "hip_thrust": 1.7, "cable_pull_through": 0.8,
    "hip_abduction": 0.9, "hip_adduction": 0.9, "leg_extension": 0.95, "single_leg_extension": 0.46,
    "lying_leg_curl": 0.65, "single_leg_curl": 0.32, "standing_calf_raise": 1.7, "seated_calf_raise": 0.6,
    "bench_press": 1.1, "incline_bench_press": 0.92, "close_grip_bench_press": 1.0,
    "dumbbell_bench_press": 0.45, "incline_dumbbell_press": 0.37, "machine_chest_press": 1.0,
    "cable_fly": 0.28, "dumbbell_fly": 0.22, "overhead_press": 0.68, "seated_dumbbell_press": 0.33,
    "machine_shoulder_press": 0.65, "lat_pulldown": 0.95, "barbell_row": 0.95, "one_arm_dumbbell_row": 0.52,
    "chest_supported_row": 0.36, "seated_cable_row": 0.95, "lateral_raise": 0.15,
    "seated_lateral_raise": 0.13, "cable_lateral_raise": 0.13, "rear_delt_fly": 0.13, "face_pull": 0.45,
    "dumbbell_shrug": 0.55, "barbell_shrug": 1.6, "barbell_curl": 0.55, "fixed_bar_curl": 0.5,
    "dumbbell_curl": 0.24, "hammer_curl": 0.26, "triceps_pushdown": 0.55,
    "overhead_triceps_extension": 0.35, "lying_triceps_extension": 0.45, "cable_anti_rotation_press": 0.25,
    "cable_crunch": 0.7, "farmers_carry": 0.6, "suitcase_carry": 0.5,
}  # fmt: skip

REPS: dict[str, int] = {
    "box_squat": 45, "step_down": 22, "glute_bridge": 45, "single_leg_glute_bridge": 22,
    "nordic_lowering": 6, "single_leg_calf_raise": 22, "push_up": 26, "incline_push_up": 36, "dip": 12,
    "pull_up": 11, "inverted_row": 16, "dead_bug": 26, "curl_up": 30, "back_extension": 24, "bird_dog": 22,
    "band_lateral_walk": 30, "band_knee_extension": 32, "band_pulldown": 24, "band_row": 28,
    "band_pull_apart": 28, "anti_rotation_press": 24, "band_good_morning": 28,
}  # fmt: skip

SECONDS: dict[str, int] = {
    "wall_sit": 80,
    "copenhagen_plank": 30,
    "plank": 90,
    "side_plank": 55,
    "dead_hang": 50,
}

CARRY_METRES = 60.0  # with half of the maximum in hand
