"""Library exercises for the trunk, and carries and hangs."""

from programs.library.entry import entry

TRUNK_AND_CARRIES = (
    # trunk hold
    entry("plank", "Plank", "trunk_hold", "bodyweight", "abs", "front_delts",
          "dead_bug side_plank anti_rotation_press",
          "On forearms and toes, or knees, body in one line, breathing on. End the hold at the first sag "
          "of the lower back.",
          rep_kind="seconds"),
    entry("side_plank", "Side plank", "trunk_hold", "bodyweight", "abs", "glutes",
          "plank suitcase_carry anti_rotation_press",
          "On one forearm, hips lifted, shoulder over the elbow. Knees bent makes it half as hard.",
          limbs="one", rep_kind="seconds"),
    entry("dead_bug", "Dead bug", "trunk_hold", "bodyweight", "abs", "", "plank anti_rotation_press",
          "On the back, opposite arm and leg reach away while the lower back stays on the floor. Breathe "
          "out on each reach."),
    entry("anti_rotation_press", "Anti-rotation press", "trunk_hold", "band", "abs", "",
          "side_plank suitcase_carry cable_anti_rotation_press",
          "Band anchored at chest height to one side, press the hands straight out and resist the turn. "
          "Hips and shoulders face forward.",
          limbs="one"),
    entry("cable_anti_rotation_press", "Cable anti-rotation press", "trunk_hold", "stack", "abs", "",
          "anti_rotation_press side_plank",
          "As with the band, from a pulley at chest height. Half kneeling makes the hips part of the "
          "task.",
          limbs="one"),
    # trunk flexion
    entry("cable_crunch", "Cable crunch", "trunk_flexion", "stack", "abs", "", "curl_up dead_bug",
          "Kneeling below a high pulley, curl the ribs towards the hips. The hips stay where they are."),
    entry("curl_up", "Curl-up", "trunk_flexion", "bodyweight", "abs", "", "cable_crunch dead_bug plank",
          "On the back with one knee bent, lift head and shoulders a little and hold for a breath. The "
          "hands under the lower back feel no change."),
    # trunk extension
    entry("back_extension", "Back extension", "trunk_extension", "bodyweight", "lower_back",
          "glutes hamstrings", "bird_dog band_good_morning deadlift",
          "On the inclined bench with the pad below the hip crease, lower and rise to a straight line, no"
          " higher. A dumbbell at the chest adds load."),
    entry("bird_dog", "Bird dog", "trunk_extension", "bodyweight", "lower_back", "glutes abs",
          "back_extension band_good_morning",
          "On hands and knees, opposite arm and leg out to level, hold, change. A cup on the lower back "
          "should not spill.",
          limbs="one"),
    # hinge
    entry("band_good_morning", "Band good morning", "hinge", "band", "lower_back hamstrings", "glutes",
          "back_extension dumbbell_romanian_deadlift bird_dog",
          "Stand on a band with its other end across the shoulders, hinge at the hips and stand tall. "
          "Learn it before the Romanian deadlift."),
    # carry
    entry("farmers_carry", "Farmer's carry", "carry", "dumbbell", "forearms traps", "abs upper_back",
          "dumbbell_shrug suitcase_carry dead_hang",
          "A heavy dumbbell in each hand, walk tall with short steps. Put them down before the grip opens"
          " by itself.",
          implements=2, rep_kind="metres"),
    entry("suitcase_carry", "Suitcase carry", "carry", "dumbbell", "abs forearms", "traps",
          "side_plank farmers_carry anti_rotation_press",
          "One dumbbell at one side, walk as if it were not there. Change hands for the way back.",
          limbs="one", rep_kind="metres"),
    # grip
    entry("dead_hang", "Dead hang", "grip", "bodyweight", "forearms", "lats",
          "farmers_carry suitcase_carry",
          "Hang from a bar with straight arms and quiet shoulders, feet on a box to take weight off if "
          "needed. Time the hold.",
          rep_kind="seconds"),
)  # fmt: skip
