"""Cards about how much: weekly sets, sets in a session, and counting them."""

from programs.library.evidence.entry import NOT_STATED, Card

BANDS = "sets_above_band sets_below_band band_intermediate band_novice"

VOLUME = (
    Card(
        "volume_schoenfeld_2017",
        "More weekly sets, more size, on average",
        f"straight volume_jump {BANDS}",
        "34 groups in 15 studies.",
        NOT_STATED,
        "Meta-analysis of muscle size by weekly sets a muscle.",
        "Each added weekly set: 0.023 in effect size, 0.37 % in size (p = 0.002). By category: under 5 sets 5.4 "
        "%, 5 to 9 sets 6.6 %, 10 and more 9.8 % (the last two from memory; trend p about 0.074).",
        "Averages; few groups did more than about 10 sets. It sets no upper limit, and none that is safe.",
        "Schoenfeld BJ, Ogborn D, Krieger JW 2017 J Sports Sci 35(11):1073-1082",
        "10.1080/02640414.2016.1210197",
        measured="size",
    ),
    Card(
        "volume_baz_valle_2022",
        "Twelve to twenty sets a week for young trained men",
        "straight sets_above_band sets_below_band band_advanced",
        "Young trained men.",
        "Exercises for quadriceps, biceps and triceps.",
        "Systematic review: more than 20 weekly sets a muscle against 12 to 20.",
        "Quadriceps p = 0.19 and biceps p = 0.59: no difference; triceps p = 0.01 in favour of more than 20. It "
        "suggests 12 to 20.",
        "Young trained men only; triceps gain from presses that are counted elsewhere.",
        "Baz-Valle E et al 2022 J Hum Kinet",
        training="trained",
        sex="men",
        measured="size",
    ),
    Card(
        "volume_pelland_2025",
        "Indirect sets count about half; returns diminish, faster for strength",
        f"straight indirect_share band_strength lift_above_band {BANDS}",
        "2,058 people in 67 studies.",
        NOT_STATED,
        "Bayesian meta-regression of weekly sets, counted as total, direct only, or fractional (indirect 0.5).",
        "Fractional counting fits best. Size and strength rise with sets (probability of a rise 1.0) with "
        "diminishing returns, more so for strength. Frequency matters little for size with volume held. As "
        "reported: about 4 sets for a detectable gain in size, 5 to 10 the most efficient; about 1 for strength, "
        "practical about 2, flattening about 4.",
        "The thresholds are reports of the publication, and approximate.",
        "Pelland JC et al 2025 Sports Med (preprint SportRxiv 2024)",
        "10.1007/s40279-025-02344-w",
        n=2058,
        measured="size",
    ),
    Card(
        "session_volume_remmert_2025",
        "Beyond about eleven sets in a session more is not seen to help",
        "session_sets session_sets_careful straight",
        "2,058 people in 67 studies (the same data as the weekly analysis).",
        NOT_STATED,
        "Meta-regression of sets a session.",
        "Size: beyond about 11 fractional sets of a muscle in a session no further gain can be detected. "
        "Strength: beyond about 2 direct sets of a lift.",
        "A preprint, approximate; the point at which a gain is no longer detectable is not a limit of safety.",
        "Remmert JF et al 2025 SportRxiv preprint 537",
        basis="report",
        n=2058,
        measured="size",
    ),
    Card(
        "health_paluch_2024",
        "For health: eight to ten exercises, one to three sets, twice a week",
        "straight band_health",
        "Adults in general; cohorts (from memory).",
        "8-10 exercises for all major muscle groups.",
        "Scientific statement: 1-3 sets of 8-12 repetitions on at least 2 days a week.",
        "The lowest mortality goes with about 30 to 60 minutes a week.",
        "Observed, not assigned: people who lift differ in other ways.",
        "Paluch AE et al 2024 Circulation 149:e217-e231",
        "10.1161/CIR.0000000000001189",
        training="mixed",
        sex="both",
        measured="health",
    ),
    Card(
        "health_who_2020",
        "Muscle-strengthening on two or more days a week",
        "straight band_health",
        "Adults in general.",
        "All major muscle groups.",
        "Guideline: at moderate or greater intensity, at least 2 days a week.",
        "A recommendation for health, drawn from many studies.",
        "Says how often, not how many sets.",
        "WHO 2020 guidelines on physical activity and sedentary behaviour",
        training="mixed",
        sex="both",
        measured="health",
    ),
)
