// The words of help and guide: a part of the catalogue in words.js.

export const guideWords = {
  help_title: "How to read the climb",
  help_reading: "The picture",
  help_stair:
    "Up is hotter. The water comes from the condenser on the left and climbs one step in each heater, to the boiler on the right.",
  help_gaps:
    "Each heater hangs at the temperature at which its steam condenses. The gap where the water leaves is the TTD (terminal temperature difference), where it enters the DCA (drain cooler approach): both are drawn larger beside it, with their figure.",
  help_steam:
    "Steam falls from the turbine through a stop valve and a non-return valve. A hollow valve is open, a half-toned one is on its way, a filled one with a bar is shut. A wider line carries more.",
  help_drains:
    "What condenses steps down to the next heater, and helps to heat it. An emergency drain goes to the condenser, and its heat is lost.",
  help_level: "The glass in each shell shows its level, with the marks low, high, emergency and high-high.",
  help_ghost: "The faint line is the stair before the last upset. The hatched field is what has sagged.",
  help_try:
    "Try it: pick the last heater and press Trip. Watch its step sink, the final feedwater cool, the output rise, and what the next heater then lacks.",
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
