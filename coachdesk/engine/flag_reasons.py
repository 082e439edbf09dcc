"""The sentences under flags, with numbers that fit one and many."""

from __future__ import annotations

FLAG_TEMPLATES: dict[str, str] = {
    "sets_above_band": "{muscle}: {sets:fractional set} in week {week} by the low count; the band ends at {high}.",
    "sets_below_band": "{muscle}, marked to grow: {sets:fractional set} in week {week}, by the high count; "
    "the band starts at {low}.",
    "overreached": "The estimated maximum falls in {count:exercise} planned next week: {list}; the chance that any of "
    "them rises is under {chance} %. Next week has {coming:set} after {now:set} this week. Sleep, illness and missed "
    "meals lower strength too: ask first.",
    "sessions_missed": "{done} of {due} planned sessions of the last {weeks:week} took place, under {least} %, and "
    "next week asks for as much again. Ask what stood in the way: a plan that fits the weeks there are gets done.",
    "under_done": "{muscle}, marked to grow: {sets:fractional set} a week over the last {weeks:week} by the high "
    "count, every week below the {low} where the band starts; {coming:set} planned for next week, no more than this.",
    "stalled": "{exercise}: the estimated maximum changes by {percent} % a week and the chance that it rises is "
    "{chance} %, by {sets:set} over {weeks:week}; it is planned on as it is. Which change helps whom is not known: "
    "try one at a time.",
    "start_habit": "Start at the habit of {habit:set} a week: {why}.",
    "start_raised": "{percent} % of the habit of {habit:set} a week is {sets:set}.",
    "lift_above_band": "{exercise}: {sets:direct set} in week {week} at 65 % of 1RM or more; "
    "for strength the band ends at {high}.",
    "sessions_too_close": "{muscle}: {first} ({first_units:unit} of fatigue) and {second} ({second_units:unit}) "
    "are both hard and {days:day} apart; the house rule asks for {needed:day}.",
    "maximum_unknown": "{exercise}: the scheme asks for a {rule}, and no maximum is known.",
    "screening_missing": "{exercise} is planned to failure or as a maximum ({count:exercise} so planned), "
    "and no screening is on file.",
    "clearance_expired": "{exercise} is planned to failure or as a maximum ({count:exercise} so planned), "
    "and the clearance has expired.",
    "failure_for_untrained": "{exercise} is planned with {rir} in reserve; at this training age it should be "
    "{needed} or more.",
    "volume_jump": "{muscle}: {sets:set} in week {week} against a habit of {habit} (median of {weeks:week}), "
    "{percent} % more{severe}{others}.",
    "volume_new": "{muscle}: {sets:set} in week {week}, and none by habit (median of {weeks:week}){severe}{others}.",
    "unaccustomed_volume": "{muscle}: {sets:set} in week {week} against a habit of {habit}{why}{others}. "
    "Unaccustomed hard work can damage muscle; dark urine or severe swelling: stop, medical care.",
    "session_sets": "{muscle}: {sets:fractional set} in {session}, by the low count; more than {most} in one session "
    "were not seen to add anything. Not a safety limit.",
    "session_sets_careful": "{muscle}: {sets:fractional set} in {session}, by the low count; for novices and from "
    "{age} years the house rule is {most} in one session.",
    "techniques_share": "{muscle}: {count} of {sets:hard set} in week {week} {count:uses/use} an advanced technique, "
    "{percent} %; the house rule is {most} %{also}.",
    "techniques_per_exercise": "{exercise}: {count:set} with an advanced technique; the house rule is {most:set} "
    "an exercise{also}.",
    "techniques_sessions": "Advanced techniques in {count:session} of week {week}; the house rule is {most} a week.",
    "techniques_too_long": "Advanced techniques in {count:week} running, up to week {week}; the house rule is "
    "{most:week}, then {off:week} without.",
    "techniques_not_last": "{exercise} uses an advanced technique and {after:exercise} {after:follows/follow} it in "
    "{session}; such techniques go last.",
    "over_time": "{session} takes about {minutes:minute} of the {available} there are: {over:minute} over{severe}.",
    "unrecovered": "{muscle} starts {session} with {left:unit} of fatigue left, {percent} % of its usual {usual}; "
    "the house rule is {most} %.",
    "target_impossible": "{exercise}, set {set}: {reps:rep} {reps:is/are} asked for, and about {expected} "
    "can be expected.",
    "load_jump": "{exercise}: {load} {unit} x {reps} asks {percent} % more than the hardest set of the last four "
    "weeks, which was like {before} {unit} x {reps}; the house rule is {most} %.",
    "maximum_old": "{exercise}: the maximum behind this {rule} was last seen {days:day} ago; the house rule is "
    "{most:day}.",
    "maximum_guessed": "{exercise}: the maximum behind this {rule} is known to within {percent} % either way; "
    "the house rule is {most} %.",
    "other_machine": "{exercise}: the maximum behind this load is from another place's machine, and machines differ.",
    "precaution": "{exercise} goes against a precaution in force: {precaution}.",
    "precaution_near_failure": "{exercise} trains {muscle}, which is under a precaution, with {rir} in reserve.",
    "unspotted": "{exercise} is planned with {rir} in reserve, the bar over the body, where there is neither spotter "
    "nor safeties.",
    "breath_hold": "{exercise} is planned {how}, which invites holding the breath; with high blood pressure that is to "
    "be avoided.",
    "rir_uninformative": "The last {count:set} were all {what}: nothing can be learned from them, and the next two "
    "weeks hold no set near failure.",
    "monotony": "The last 7 days have a monotony of {monotony} over {count:session} (mean by SD of daily rating x "
    "minutes), and the next 7 are planned alike, {planned}; the house rule is below {most}.",
    "layoff": "{days:day} without a session before {session}: {words}. Planned {sets:set} a session in "
    "{which}, usual {usual}.",
    "test_unscreened": "{test} is a maximum, and no screening is on file.",
    "test_expired": "{test} is a maximum, and the clearance has expired.",
    "test_after_hard": "{test} comes {days:day} after {session}, which is hard for {muscle} ({units:unit} of fatigue); "
    "the house rule asks for more than {most:day} between.",
    "peak_not_lighter": "{peak} has no lighter days before it: {sets:set} in the last {days:day}, where {usual} are "
    "usual; the house rule is {percent} % fewer.",
    "pain_go_on": "{exercise}: pain {pain} of 10{morning}; up to {limit} goes on as planned.",
    "pain_hold": "{exercise}: pain {pain} of 10{morning}; from more than {low} up to {high} load and sets stay as "
    "they are.",
    "pain_step_down": "{exercise}: pain {pain} of 10{morning}; above {high}, or worse the next morning, asks for one "
    "step down the regression chain.",
    "pain_refer": "{exercise}: pain {pain} of 10{morning}, and {running:report} running ask for a step down: "
    "refer or review, and write what was decided.",
    "symmetry": "The {side} side is behind: {list} of the other side (90 % range in brackets); the note begins below "
    "{limit} %.",
}
