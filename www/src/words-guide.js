// The words of help and guide: a part of the catalogue in words.js.

export const guideWords = {
  help_title: "Guide",
  help_reading: "How to read the climb",
  help_stair:
    "Up is hotter. The water comes from the condenser on the left and climbs one step in each heater, to the boiler on the right.",
  help_gaps:
    "Each heater hangs at the temperature at which its steam condenses. The gap where the water leaves is the TTD (terminal temperature difference), where it enters the DCA (drain cooler approach): both are drawn larger beside it, with their figure.",
  help_steam:
    "Steam falls from the turbine through a stop valve and a non-return valve. A hollow valve is open, a half-toned one is on its way, a filled one with a bar is shut. A wider line carries more.",
  help_drains:
    "What condenses steps down to the next heater, and helps to heat it. An emergency drain goes to the condenser, and its heat is lost.",
  help_level: "The glass in each shell shows its level, with the marks low, high, emergency and high-high. Too high, it floods tubes: TTD up, DCA down. Too low, it uncovers the drain cooler: DCA up.",
  help_end: "A ≥ or ≤ before a figure: its transmitter stands at an end of its range and tells no more. It may be right, or lie.",
  help_ghost: "The faint line is the stair before the last upset. The hatched field is what has sagged.",
  help_try:
    "Try it: pick the last heater and press Trip. Watch its step sink, the final feedwater cool, the output rise, and what the next heater then lacks.",
  guide_contents: "In this guide",
  guide_lesson_title: "A lesson, step by step",
  guide_lesson_1: "Before class, in Exercise: choose one of the list and take it yourself. In the Editor, begin from it, change what you like, and try it; save it as a file or share it as a link.",
  guide_lesson_2: "At the Desk, begin from a load and keep snapshots of the states you want to show: any of them opens with one press.",
  guide_lesson_3: "In class, on the projector: freeze, and ask what a line will do (Desk, Ask the class). Let somebody draw it, insert the malfunction, and run on at 10x or 60x.",
  guide_lesson_4: "Go back ten minutes on the Desk's time line and show the other outcome: the same plant without the malfunction, or without the last action.",
  guide_lesson_5: "Trainees take the exercise on their own machine: predict, act, answer, hand in. The debrief tells what was foreseen, done and explained, each with its reason. They save the record and send it to you.",
  guide_lesson_6: "After class, in Review: drop all records at once, a folder or a ZIP. Each is run again, so that an edited one shows. Begin the next class with what stands first under “the hardest first”.",
  guide_working: "Pick any number, by click or with W while it has the focus: the equation behind it with the values of this moment, each value on to its own, the standard or book it rests on, and the balance of mass and energy of its component, which closes.",
  guide_working_title: "Working",
  guide_working_picture: "The equation behind a heater's TTD, with the values of the moment",
  guide_debrief_title: "Debrief",
  guide_debrief: "After an exercise: what was foreseen, done and explained; each objective with its points, the reason and the rule by which it counts, and the trend where it was decided. Below: predictions over what came, the right answers, what the model answer does, the run once more without your action, and the time line with the alarm rates. Print it, or save it as a file that anybody can read.",
  guide_debrief_picture: "A debrief: three parts of the score, and the reason for each objective's points",
  guide_views: "The views",
  guide_climb_picture: "The climb during a trip: the stair sags behind the tripped heater",
  guide_climb:
    "Home. The whole train as a stair of temperatures, with the unit's figures above it and their trend below. Pick a heater for its card, pick it twice for its inside. Compare the stair with what it was before the last upset, or with design.",
  guide_sheet_picture: "The flow sheet with instruments, valves and their tags",
  guide_sheet:
    "The same train as a process flow diagram. Circles are instruments: letters for what they measure, numbers for the loop, the heater's own number first. Pick a valve and the focus goes to what moves it. A dome is a valve under control, a box with M one driven by a motor.",
  guide_heater_picture: "Inside a closed heater: zones, tubes and level above, temperatures below",
  guide_heater:
    "One heater cut along its shell. Strokes travel where something flows, faster where more flows. The shell shows the water as it is, against true heights; the glass beside it shows what the level transmitter says. Below, temperature over heat transferred, zone by zone: the gap on the right is the TTD, on the left the DCA. The open heater shows its storage, and the temperature on its way down the suction pipe to the feed pumps.",
  guide_trends_picture: "Trends of feedwater temperatures and output across a trip",
  guide_trends:
    "Any figure over plant time, from the start of the session. Choose pens from the list; two quantities have an axis each. Drag across the chart to zoom, turn the wheel to zoom about the pointer, read values by pointer or arrow keys. Events stand across the chart. Save the shown time as a table or as a picture.",
  guide_balance_picture: "The steady heat balance with a heater out",
  guide_balance:
    "The plant at rest, at any load, with any heaters out: what changes, what it costs, and which heater costs most. It does not touch what runs.",
  help_keys: "Keys",
  key_space: "Run or freeze",
  key_arrows: "Pick the heater before or after",
  key_digits: "Pick a heater by its number",
  key_trip: "Trip the picked heater",
  key_isolate: "Shut off the steam of the picked heater",
  key_back: "Put the picked heater back",
  key_speed: "Faster, slower",
  key_units: "SI or US units",
  key_working: "How a number comes about",
  key_view: "Next view",
  key_inside: "Inside of the picked heater",
  key_help: "This help",
  keys_on: "Letters, digits and signs work as keys",

  // How each number comes about: a section of its own.
};
