"""Cards about older people, layoffs, unaccustomed work and those who need a clinician first."""

from programs.library.evidence.entry import NOT_STATED, Card

CARE = (
    Card(
        "layoff_cscca_2019",
        "After a layoff the first weeks are cut by 50, 30, 20 and 10 %",
        "layoff layoff_days layoff_long_days return_cut_1 return_cut_2 return_cut_3 return_cut_4",
        "College athletes coming back (from memory).",
        "Conditioning; whole programmes.",
        "Consensus guideline: over the first 2 to 4 weeks take volume down by 50, 30, 20 and 10 %, with work to "
        "rest of 1 to 4, then 1 to 3.",
        "Meant to prevent collapse and muscle breakdown in the first weeks back (from memory).",
        "A consensus, not an experiment; the exact rule is held from memory. Illness and surgery are the clinician's.",
        "CSCCa/NSCA 2019 Strength Cond J 41(3):1-23",
        "10.1519/SSC.0000000000000477",
        training="trained",
        age_low=17,
        age_high=25,
        measured="health",
    ),
    Card(
        "older_fragala_2019",
        "Older adults gain from two to three sets on two or three days",
        "older_age high_fatigue_careful session_sets_careful band_health",
        "Older adults.",
        "8-10 exercises.",
        "Position statement: 2-3 sets, 2-3 days a week, 70-85 % of 1RM, about 2 minutes of rest; beginners one "
        "set and lighter (percentages and days from memory).",
        "A recommendation for older adults who are screened and progressed.",
        "Frail and ill people need their own plan and a clinician.",
        "Fragala MS et al 2019 JSCR 33:2019-2052",
        training="mixed",
        age_low=65,
        sex="both",
        measured="strength",
    ),
    Card(
        "rhabdomyolysis_rawson_2017",
        "Unaccustomed hard volume can break muscle down",
        "unaccustomed_volume unaccustomed_times unaccustomed_sets unaccustomed_hard untrained_weeks untrained_rir "
        "failure_for_untrained new_muscle_sets volume_jump",
        "Case reports: novices, and people after a layoff.",
        "High-volume work to failure and eccentric work.",
        "Review of cases of exertional rhabdomyolysis; a warning from Australian general practice in 2016 beside it.",
        "Dark urine or severe swelling after such a session: stop, and medical care at once.",
        "Cases, so nobody knows how often; the sizes at which this desk flags are common practice.",
        "Rawson ES et al 2017 Sports Med 47(S1):33-49; RACGP 2016 cases",
        training="untrained",
        measured="health",
    ),
    Card(
        "cautions_williams_2007",
        "Who should not train hard before a clinician says so",
        "screening_missing clearance_expired breath_hold heavy_breath precaution",
        "People with and without heart disease.",
        NOT_STATED,
        "Scientific statement with absolute reasons against resistance training (such as unstable coronary "
        "disease, decompensated heart failure, uncontrolled blood pressure above 180/110) and reasons to ask "
        "first.",
        "Most people may train after screening; some must not before they are treated.",
        "The list is of 2007 and dated: a clinician decides. On breath-holding from memory.",
        "Williams MA et al 2007 Circulation 116:572-584",
        "10.1161/CIRCULATIONAHA.107.185214",
        training="mixed",
        sex="both",
        measured="health",
    ),
    Card(
        "screening_riebe_2015",
        "Screening asks for activity, signs, known disease and the intended effort",
        "screening_missing clearance_expired",
        "Adults who want to begin or to train harder.",
        NOT_STATED,
        "Updated recommendation: ask current activity; signs, symptoms or known cardiovascular, metabolic or "
        "renal disease; and the intensity intended. Counting risk factors was dropped.",
        "Fewer people are sent to a clinician without need.",
        "A recommendation by experts.",
        "Riebe D et al 2015 MSSE 47:2473-2479",
        training="mixed",
        sex="both",
        measured="health",
    ),
    Card(
        "pain_monitoring_memory",
        "Some pain is allowed while loading, if it has settled by the next morning",
        "pain_rule pain_go_on pain_hold pain_running",
        "People with tendon pain; held from memory.",
        "Loading exercises of the painful tendon.",
        "Pain from 0 to 10 during the exercise and the next morning steers the load: low goes on, moderate holds, "
        "high or worse the next morning steps back.",
        "Going on with training under such a rule did not harm, as remembered.",
        "From memory, without a citation to hand; made for tendons, used here for the whole body as the trade "
        "does. A licensed clinician decides where pain persists.",
        "Pain-monitoring model, from memory",
        basis="memory",
        measured="health",
    ),
)
