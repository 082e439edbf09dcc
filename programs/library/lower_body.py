"""Library exercises for hips, knees and ankles, on two legs and on one."""

from programs.library.entry import LEG_PRESS_ENDURANCE, entry

LOWER_BODY = (
    # squat
    entry("back_squat", "Back squat", "squat", "barbell", "quads glutes", "adductors hamstrings lower_back",
          "front_squat leg_press goblet_squat",
          "Bar across the upper back in a rack with the safeties set just under the lowest point. Heels "
          "stay down and the knees follow the toes.",
          spotter=True),
    entry("front_squat", "Front squat", "squat", "barbell", "quads",
          "glutes adductors upper_back lower_back", "back_squat goblet_squat leg_press",
          "Bar on the front of the shoulders with the elbows high. Stop the set when the elbows drop and "
          "the upper back rounds.",
          spotter=True),
    entry("goblet_squat", "Goblet squat", "squat", "dumbbell", "quads glutes", "adductors upper_back",
          "split_squat leg_press box_squat",
          "One dumbbell held upright against the chest. Sit between the knees and keep the dumbbell "
          "touching the breastbone all the way."),
    entry("leg_press", "Leg press", "squat", "stack", "quads glutes", "adductors hamstrings",
          "back_squat goblet_squat single_leg_press",
          "Back and hips flat on the pad, feet in the middle of the plate. Go only as deep as the hips "
          "stay on the pad.",
          endurance=LEG_PRESS_ENDURANCE),
    entry("single_leg_press", "Single-leg press", "squat", "stack", "quads glutes", "adductors hamstrings",
          "rear_foot_elevated_split_squat step_up leg_press",
          "One foot in line with its hip, the other on the floor. Start with the weaker side and let it "
          "set the depth for both.",
          limbs="one", endurance=LEG_PRESS_ENDURANCE),
    entry("box_squat", "Body-weight squat to a box", "squat", "bodyweight", "quads glutes", "adductors",
          "goblet_squat leg_press wall_sit",
          "Sit back to a chair or box, touch it without dropping, stand up. Lower the box as it gets easy"
          " before adding any load."),
    entry("wall_sit", "Wall sit", "squat", "bodyweight", "quads", "glutes",
          "box_squat leg_extension goblet_squat",
          "Back flat on a wall, thighs as near level as the knees allow, breathing on. Note the knee "
          "angle, because a higher seat makes another exercise.",
          rep_kind="seconds"),
    # lunge
    entry("split_squat", "Split squat", "lunge", "dumbbell", "quads glutes", "adductors hamstrings",
          "rear_foot_elevated_split_squat step_up single_leg_press",
          "A long stance with a dumbbell in each hand, straight down and up. The front foot carries most "
          "of the weight and its heel stays down.",
          implements=2, limbs="one"),
    entry("rear_foot_elevated_split_squat", "Rear-foot-elevated split squat", "lunge", "dumbbell",
          "quads glutes", "adductors hamstrings", "split_squat single_leg_press step_up",
          "Rear foot on a bench, dumbbells hanging at the sides. Balance sets the limit at first, so "
          "learn it with no load.",
          implements=2, limbs="one"),
    entry("walking_lunge", "Walking lunge", "lunge", "dumbbell", "quads glutes",
          "adductors hamstrings forearms", "split_squat step_up leg_press",
          "Long steps forward with a dumbbell in each hand, rear knee close to the floor. Count the steps"
          " of each leg.",
          implements=2, limbs="one"),
    entry("step_up", "Step-up", "lunge", "dumbbell", "quads glutes", "hamstrings adductors",
          "split_squat step_down single_leg_press",
          "Whole foot on a box at about knee height, dumbbells at the sides. Rise with the upper leg and "
          "do not push off with the lower one.",
          implements=2, limbs="one"),
    entry("step_down", "Slow step-down", "lunge", "bodyweight", "quads glutes", "adductors",
          "step_up single_leg_extension split_squat",
          "Stand on a low step on one leg and reach the other heel to the floor over three seconds. The "
          "knee stays over the second toe and the hips level.",
          limbs="one"),
    entry("lateral_lunge", "Lateral lunge", "lunge", "dumbbell", "adductors glutes", "quads",
          "hip_adduction copenhagen_plank split_squat",
          "One dumbbell at the chest, a wide step to the side, sit over that leg with the other straight."
          " Widen the step slowly over the weeks.",
          limbs="one"),
    # hinge
    entry("deadlift", "Deadlift", "hinge", "barbell", "glutes hamstrings lower_back",
          "quads traps upper_back forearms", "romanian_deadlift dumbbell_romanian_deadlift hip_thrust",
          "Bar over the middle of the foot, brace, push the floor away. End the set when the back changes"
          " shape, not when the bar stops."),
    entry("romanian_deadlift", "Romanian deadlift", "hinge", "barbell", "hamstrings glutes",
          "lower_back forearms", "dumbbell_romanian_deadlift lying_leg_curl deadlift",
          "From standing, push the hips back with the knees a little bent and the bar close to the "
          "thighs. Turn round where the hamstrings stop the movement."),
    entry("dumbbell_romanian_deadlift", "Dumbbell Romanian deadlift", "hinge", "dumbbell",
          "hamstrings glutes", "lower_back forearms",
          "romanian_deadlift single_leg_romanian_deadlift glute_bridge",
          "A dumbbell in each hand in front of the thighs, hips back, shins nearly upright. Keep the neck"
          " in line with the back.",
          implements=2),
    entry("single_leg_romanian_deadlift", "Single-leg Romanian deadlift", "hinge", "dumbbell",
          "hamstrings glutes", "lower_back",
          "dumbbell_romanian_deadlift single_leg_curl single_leg_glute_bridge",
          "One dumbbell in the hand opposite the standing leg, a finger on a wall if needed. The hips "
          "stay square to the floor.",
          limbs="one"),
    # hip extension
    entry("hip_thrust", "Hip thrust", "hip_extension", "barbell", "glutes", "hamstrings quads",
          "glute_bridge romanian_deadlift cable_pull_through",
          "Shoulder blades on a bench, padded bar over the hips, shins upright at the top. Finish with "
          "the ribs down and not by arching the back."),
    entry("glute_bridge", "Glute bridge", "hip_extension", "bodyweight", "glutes", "hamstrings",
          "single_leg_glute_bridge hip_thrust cable_pull_through",
          "Lying on the back with bent knees, lift the hips until thigh and trunk make a line. Hold the "
          "top for a second."),
    entry("single_leg_glute_bridge", "Single-leg glute bridge", "hip_extension", "bodyweight", "glutes",
          "hamstrings", "glute_bridge hip_thrust single_leg_romanian_deadlift",
          "As the bridge, with one foot off the floor and both thighs side by side. Stop when the free "
          "side of the pelvis sinks.",
          limbs="one"),
    entry("cable_pull_through", "Cable pull-through", "hip_extension", "stack", "glutes hamstrings",
          "lower_back", "hip_thrust dumbbell_romanian_deadlift glute_bridge",
          "Back to a low pulley with the rope between the legs, hinge back and stand up. The arms are "
          "only hooks."),
    # hip abduction
    entry("hip_abduction", "Hip abduction machine", "hip_abduction", "stack", "glutes", "",
          "band_lateral_walk glute_bridge",
          "Seated with the pads outside the knees, press out and come back slowly. Same seat position "
          "every time."),
    entry("band_lateral_walk", "Band lateral walk", "hip_abduction", "band", "glutes", "",
          "hip_abduction single_leg_glute_bridge",
          "Band round both legs above the knees, small steps to the side in a half squat. Toes point "
          "forward and the trunk does not rock.",
          limbs="one"),
    # hip adduction
    entry("hip_adduction", "Hip adduction machine", "hip_adduction", "stack", "adductors", "",
          "copenhagen_plank lateral_lunge",
          "Seated with the pads inside the knees, close without a jerk. Begin from an opening that causes"
          " no pull in the groin."),
    entry("copenhagen_plank", "Copenhagen plank", "hip_adduction", "bodyweight", "adductors", "abs",
          "hip_adduction lateral_lunge",
          "Side support with the upper leg on a bench, the lower one hanging free. Support at the knee "
          "first, at the ankle months later.",
          limbs="one", rep_kind="seconds"),
    # knee extension
    entry("leg_extension", "Leg extension", "knee_extension", "stack", "quads", "",
          "single_leg_extension leg_press goblet_squat",
          "Seat so that the knee turns level with the machine's axis. Straighten fully and lower under "
          "control."),
    entry("single_leg_extension", "Single-leg extension", "knee_extension", "stack", "quads", "",
          "band_knee_extension leg_extension step_down",
          "The leg extension with one leg, the range limited by the pin if the knee asks for it. Log left"
          " and right apart.",
          limbs="one"),
    entry("band_knee_extension", "Standing band knee extension", "knee_extension", "band", "quads", "",
          "single_leg_extension step_down wall_sit",
          "Band behind a slightly bent knee, anchored in front, straighten against it with the foot flat."
          " The last few degrees are the point.",
          limbs="one"),
    # knee flexion
    entry("lying_leg_curl", "Lying leg curl", "knee_flexion", "stack", "hamstrings", "calves",
          "single_leg_curl nordic_lowering romanian_deadlift",
          "Face down with the pad above the heels and the hips pressed into the bench. Lower for two "
          "seconds."),
    entry("single_leg_curl", "Single-leg curl", "knee_flexion", "stack", "hamstrings", "calves",
          "lying_leg_curl single_leg_romanian_deadlift nordic_lowering",
          "The leg curl with one leg at a time, weaker side first. The other leg rests and does not help.",
          limbs="one"),
    entry("nordic_lowering", "Nordic hamstring lowering", "knee_flexion", "bodyweight", "hamstrings",
          "calves", "lying_leg_curl single_leg_curl dumbbell_romanian_deadlift",
          "Kneeling with the ankles held, lower the straight body as slowly as possible and catch it with"
          " the hands. Two or three reps are plenty in the first week."),
    # calf raise
    entry("standing_calf_raise", "Standing calf raise", "calf_raise", "stack", "calves", "",
          "single_leg_calf_raise seated_calf_raise",
          "Balls of the feet on the step, knees straight, full stretch and full height. Pause a second at"
          " the bottom."),
    entry("seated_calf_raise", "Seated calf raise", "calf_raise", "dumbbell", "calves", "",
          "standing_calf_raise single_leg_calf_raise",
          "Seated with the balls of the feet on a block and a dumbbell upright on each knee. Move slowly "
          "through the whole range.",
          implements=2),
    entry("single_leg_calf_raise", "Single-leg calf raise", "calf_raise", "bodyweight", "calves", "",
          "standing_calf_raise seated_calf_raise",
          "One foot on the edge of a step, fingertips on a wall for balance. Count only reps that reach "
          "the height of the first.",
          limbs="one"),
)  # fmt: skip
