"""Library exercises for chest, back, shoulders and arms."""

from programs.library.entry import entry

PUSH_UP = "Ebben et al 2011 J Strength Cond Res 25:2891 (from memory)"
WHOLE_BODY = "common practice, no source: the whole body counts"

UPPER_BODY = (
    # horizontal press
    entry("bench_press", "Bench press", "horizontal_press", "barbell", "chest", "front_delts triceps",
          "dumbbell_bench_press machine_chest_press push_up",
          "Eyes under the bar, shoulder blades drawn back, feet firm. Bar to the lower chest, elbows "
          "under the bar.",
          spotter=True),
    entry("incline_bench_press", "Incline bench press", "horizontal_press", "barbell", "chest front_delts",
          "triceps", "incline_dumbbell_press bench_press push_up",
          "Bench at about thirty degrees, bar to the upper chest. The shoulder blades keep their place on"
          " the bench.",
          spotter=True),
    entry("close_grip_bench_press", "Close-grip bench press", "horizontal_press", "barbell",
          "triceps chest", "front_delts", "dip bench_press triceps_pushdown",
          "Hands at shoulder width, elbows near the sides, bar low on the chest. A closer grip only "
          "bothers the wrists.",
          spotter=True),
    entry("dumbbell_bench_press", "Dumbbell bench press", "horizontal_press", "dumbbell", "chest",
          "front_delts triceps", "bench_press machine_chest_press push_up",
          "Dumbbells from the thighs to the chest, press up and slightly together. Bring them back to the"
          " thighs before sitting up.",
          implements=2),
    entry("incline_dumbbell_press", "Incline dumbbell press", "horizontal_press", "dumbbell",
          "chest front_delts", "triceps", "incline_bench_press dumbbell_bench_press incline_push_up",
          "Bench at a low incline, forearms upright throughout. Stop where the upper arm is level if the "
          "front of the shoulder complains.",
          implements=2),
    entry("machine_chest_press", "Machine chest press", "horizontal_press", "stack", "chest",
          "front_delts triceps", "dumbbell_bench_press bench_press push_up",
          "Seat so that the handles are at the middle of the chest, shoulder blades on the pad. Note the "
          "seat position."),
    entry("push_up", "Push-up", "horizontal_press", "bodyweight", "chest", "front_delts triceps abs",
          "incline_push_up dumbbell_bench_press machine_chest_press",
          "Hands a little wider than the shoulders, body in one line from head to heels. The set ends "
          "when the hips sag.",
          body=(0.64, PUSH_UP)),
    entry("incline_push_up", "Incline push-up", "horizontal_press", "bodyweight", "chest",
          "front_delts triceps", "push_up machine_chest_press dumbbell_bench_press",
          "Push-up with the hands on a bench, table or wall. Lower the support step by step as the reps "
          "rise.",
          body=(0.55, f"hands on a support of 30 cm; {PUSH_UP}")),
    # chest fly
    entry("cable_fly", "Cable fly", "chest_fly", "stack", "chest", "front_delts",
          "machine_chest_press dumbbell_fly dumbbell_bench_press",
          "Between two pulleys, arms wide with a fixed slight bend, bring the hands together in front. "
          "The stretch is felt in the chest and not in the shoulder joint.",
          implements=2),
    entry("dumbbell_fly", "Dumbbell fly", "chest_fly", "dumbbell", "chest", "front_delts",
          "cable_fly dumbbell_bench_press push_up",
          "On a flat bench, elbows slightly bent and kept so, open until the chest stretches. Much "
          "lighter than any press.",
          implements=2),
    # vertical press
    entry("overhead_press", "Overhead press", "vertical_press", "barbell", "front_delts",
          "side_delts triceps traps", "seated_dumbbell_press machine_shoulder_press",
          "Standing, bar from the collar bones to straight over the ears. Squeeze the buttocks so that "
          "the back does not arch."),
    entry("seated_dumbbell_press", "Seated dumbbell press", "vertical_press", "dumbbell", "front_delts",
          "side_delts triceps", "overhead_press machine_shoulder_press incline_dumbbell_press",
          "Back supported, dumbbells beside the ears, press up without locking hard. Elbows a little in "
          "front of the body.",
          implements=2),
    entry("machine_shoulder_press", "Machine shoulder press", "vertical_press", "stack", "front_delts",
          "side_delts triceps", "seated_dumbbell_press overhead_press",
          "Handles at shoulder height to begin, back on the pad. Shorten the bottom of the range if the "
          "shoulder pinches."),
    entry("dip", "Dip", "vertical_press", "bodyweight", "triceps chest", "front_delts",
          "close_grip_bench_press triceps_pushdown push_up",
          "On parallel bars, lower until the upper arms are level, trunk a little forward. Added load "
          "hangs from a belt.",
          body=(1.0, WHOLE_BODY)),
    # vertical pull
    entry("pull_up", "Pull-up", "vertical_pull", "bodyweight", "lats", "biceps upper_back forearms",
          "lat_pulldown band_pulldown one_arm_dumbbell_row",
          "From a full hang, chin over the bar, no swing. Added load hangs from a belt.",
          body=(1.0, WHOLE_BODY)),
    entry("lat_pulldown", "Lat pulldown", "vertical_pull", "stack", "lats", "biceps upper_back rear_delts",
          "pull_up band_pulldown seated_cable_row",
          "Thighs fixed under the pad, bar to the upper chest, trunk still. Let the shoulder blades rise "
          "at the top."),
    entry("band_pulldown", "Band pulldown", "vertical_pull", "band", "lats", "biceps upper_back",
          "lat_pulldown pull_up band_row",
          "Band over a door anchor or beam, pull the elbows down to the ribs. Step closer or further to "
          "make it fit the reps."),
    # horizontal pull
    entry("barbell_row", "Barbell row", "horizontal_pull", "barbell", "lats upper_back",
          "rear_delts biceps lower_back forearms",
          "chest_supported_row seated_cable_row one_arm_dumbbell_row",
          "Trunk well forward and still, bar to the navel. When the trunk starts to rise the set is over."),
    entry("one_arm_dumbbell_row", "One-arm dumbbell row", "horizontal_pull", "dumbbell", "lats upper_back",
          "rear_delts biceps forearms", "seated_cable_row chest_supported_row band_row",
          "One hand and knee on the bench, dumbbell to the hip. The trunk stays level.",
          limbs="one"),
    entry("chest_supported_row", "Chest-supported dumbbell row", "horizontal_pull", "dumbbell",
          "upper_back lats", "rear_delts biceps", "seated_cable_row one_arm_dumbbell_row barbell_row",
          "Chest on an incline bench, a dumbbell in each hand, elbows back and together. Easy on the "
          "lower back.",
          implements=2),
    entry("seated_cable_row", "Seated cable row", "horizontal_pull", "stack", "upper_back lats",
          "rear_delts biceps forearms", "chest_supported_row one_arm_dumbbell_row band_row",
          "Knees soft, trunk upright, handle to the waist. Reach forward with the shoulder blades and not"
          " with the back."),
    entry("band_row", "Band row", "horizontal_pull", "band", "upper_back lats", "rear_delts biceps",
          "seated_cable_row chest_supported_row one_arm_dumbbell_row",
          "Band round a post or the feet, elbows back, hold a second. Use the next band when the last rep"
          " is as clean as the first."),
    entry("inverted_row", "Inverted row", "horizontal_pull", "bodyweight", "upper_back lats",
          "rear_delts biceps", "seated_cable_row chest_supported_row band_row",
          "Hanging under a bar at hip height, heels on the floor, chest to the bar, body in one line. A lower bar "
          "is harder.",
          body=(0.6, "common practice, no source; the lower the bar, the more")),
    # shoulder raise
    entry("lateral_raise", "Lateral raise", "shoulder_raise", "dumbbell", "side_delts", "traps",
          "cable_lateral_raise seated_lateral_raise",
          "Arms nearly straight, out and slightly forward to shoulder height. No swing from the hips.",
          implements=2),
    entry("seated_lateral_raise", "Seated lateral raise", "shoulder_raise", "dumbbell", "side_delts", "",
          "lateral_raise cable_lateral_raise",
          "The lateral raise sitting on the end of a bench, which takes the swing away. Expect a dumbbell"
          " one size smaller.",
          implements=2),
    entry("cable_lateral_raise", "Cable lateral raise", "shoulder_raise", "stack", "side_delts", "traps",
          "lateral_raise seated_lateral_raise",
          "Low pulley on the far side, lead with the elbow to shoulder height. Lower slowly past the "
          "body.",
          limbs="one"),
    entry("rear_delt_fly", "Rear delt fly", "shoulder_raise", "dumbbell", "rear_delts", "upper_back",
          "face_pull band_pull_apart",
          "Chest on an incline bench or bent well forward, arms out to the sides. Light, and stopped "
          "before the shrug begins.",
          implements=2),
    entry("face_pull", "Face pull", "shoulder_raise", "stack", "rear_delts upper_back", "traps",
          "band_pull_apart rear_delt_fly",
          "Rope from a pulley at face height, hands beside the ears, elbows high. Stand so that the back "
          "need not lean."),
    entry("band_pull_apart", "Band pull-apart", "shoulder_raise", "band", "rear_delts upper_back", "",
          "face_pull rear_delt_fly",
          "Band in both hands with straight arms, open to the chest. Ribs stay down."),
    # shrug
    entry("dumbbell_shrug", "Dumbbell shrug", "shrug", "dumbbell", "traps", "forearms",
          "farmers_carry barbell_shrug",
          "A dumbbell in each hand, shoulders straight up, a second's hold. Do not roll them.",
          implements=2),
    entry("barbell_shrug", "Barbell shrug", "shrug", "barbell", "traps", "forearms upper_back",
          "dumbbell_shrug farmers_carry",
          "Bar at arm's length in front, lifted by the shoulders alone. Straps are fine when the grip "
          "ends it first."),
    # elbow flexion
    entry("barbell_curl", "Barbell curl", "elbow_flexion", "barbell", "biceps", "forearms",
          "fixed_bar_curl dumbbell_curl hammer_curl",
          "Elbows at the sides, bar to the shoulders, trunk still. The empty bar is enough for many."),
    entry("fixed_bar_curl", "Fixed-bar curl", "elbow_flexion", "fixed_bar", "biceps", "forearms",
          "barbell_curl dumbbell_curl",
          "A short bar of fixed weight, hands at shoulder width. Next bar when all sets reach the top of "
          "the range."),
    entry("dumbbell_curl", "Dumbbell curl", "elbow_flexion", "dumbbell", "biceps", "forearms",
          "barbell_curl hammer_curl fixed_bar_curl",
          "Palms turn up on the way, elbows stay a little in front of the body. Both arms together.",
          implements=2),
    entry("hammer_curl", "Hammer curl", "elbow_flexion", "dumbbell", "biceps forearms", "",
          "dumbbell_curl barbell_curl",
          "The curl with thumbs up throughout. Often kinder to the wrist and elbow.",
          implements=2),
    # elbow extension
    entry("triceps_pushdown", "Triceps pushdown", "elbow_extension", "stack", "triceps", "",
          "overhead_triceps_extension lying_triceps_extension close_grip_bench_press",
          "High pulley, elbows fixed at the sides, straighten fully. Forearms come up only to level."),
    entry("overhead_triceps_extension", "Overhead triceps extension", "elbow_extension", "dumbbell",
          "triceps", "", "triceps_pushdown lying_triceps_extension",
          "One dumbbell in both hands behind the head, elbows forward, straighten upward. Seated, with "
          "the back supported."),
    entry("lying_triceps_extension", "Lying triceps extension", "elbow_extension", "fixed_bar", "triceps",
          "", "triceps_pushdown overhead_triceps_extension",
          "Lying on a bench, a fixed bar from over the forehead to straight arms. The bar passes over the"
          " face, so not to failure alone.",
          spotter=True),
)  # fmt: skip
