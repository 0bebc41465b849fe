// Every word on the page. Another language is another file of this shape. {name} stands for what is filled in.

export const words = {
  name: "Bledsteam",
  main: "The plant",
  starting: "Starting the plant …",
  cannot_start: "The plant could not be started",
  no_plant: "This page came without a plant.",
  fault_remedy: "Reload the page; if it happens again, report what you did just before.",
  stopped: "The plant has stopped.",
  stopped_remedy: "Reload the page to start again.",
  not_a_number: "That is not a number.",
  close: "Close",

  transport: "Run and speed",
  run: "Run",
  freeze: "Freeze",
  speed: "Speed of plant time",
  speed_title: "Plant time runs {speed} times as fast as the clock",
  pace: "runs at {speed}×",
  plant_time: "Plant time",
  plant_time_title: "Time in the plant since the start, h:mm:ss",
  load: "Load",
  load_now_title: "Load now; it follows what is asked at the unit's own rate",
  document_title: "{plant} · Bledsteam",
  load_group: "Load asked of the unit",
  load_slider: "Load asked of the unit, percent",
  load_remedy: "Type a load from {low} to {high} percent.",
  percent_remedy: "Type an opening from 0 to 100 percent.",
  units: "Units",
  units_si: "SI",
  units_si_title: "Metric units: °C, MPa, kg/s",
  units_us: "US",
  units_us_title: "US customary units: °F, psia, klb/h",
  theme: "Colours",
  theme_auto: "Auto",
  theme_light: "Light",
  theme_dark: "Dark",
  theme_contrast: "Contrast",
  help_open: "Help: how to read the picture, and the keys",

  totals: "The unit",
  final_fw_temperature: "Final feedwater",
  final_fw_temperature_title: "Temperature of the feedwater as it enters the boiler's economiser",
  gross_output: "Gross output",
  gross_output_title: "Electrical output at the generator's terminals",
  heat_rate: "Heat rate",
  heat_rate_title: "Heat put into the cycle for each kilowatt-hour: less is better",
  heat_rate_change: "Heat rate, change",
  feed_flow: "Feedwater flow",
  condenser_pressure: "Condenser",
  condenser_pressure_title: "Absolute pressure in the condenser",
  fuel_cost: "Fuel cost",
  from_design: "from design",
  since: "since {time}",

  climb: "The climb",
  climb_label: "The water's way from condenser to boiler as a stair of temperatures, one step for each heater",
  compare: "Compare with",
  compare_before: "Before",
  compare_before_title: "Shows the stair as it was before the last upset",
  compare_design: "Design",
  compare_design_title: "Shows the stair at the design point",
  compare_none: "Off",
  compare_none_title: "Shows no faint line",
  turbine: "Turbine",
  extraction_at: "extraction pressure, {unit}",
  boiler: "Boiler",
  final_unit: "{unit} feedwater",
  feed_pumps: "Feed pumps",
  suction_margin: "suction {margin}",
  bypass: "bypass",
  ttd: "TTD",
  dca: "DCA",
  valve_shut: "shut",
  valve_part: "{percent} %",
  by_hand: "hand",
  emergency_text: "to condenser",
  heater_words:
    "{name}, {mode}. Water {water_in} to {water_out}. Terminal temperature difference {ttd}, drain cooler approach {dca}. Level {level}. Extraction steam {steam}. Show its card.",
  open_words:
    "{name}, open heater, {mode}. Water {water_in} to {water_out}, pressure {pressure}, storage level {level}, extraction steam {steam}. Show its card.",

  short_high: "HP {n}",
  short_low: "LP {n}",
  short_open: "Open {n}",
  heaters: "Heaters, in the order the water meets them",
  cards: "Heater cards",
  kind_open: "deaerating, with storage",
  has_desuperheating: "desuperheating",
  has_condensing: "condensing",
  has_drain_cooling: "drain cooling",
  bypass_with: "bypass with {names}",
  mode_in_service: "in service",
  mode_isolated: "steam off",
  mode_tripping: "tripping",
  mode_out: "out of service",
  mode_returning: "coming back",
  actions_of: "What you can do to {name}",
  trip_heater: "Trip",
  trip_heater_title: "Shuts the steam off, drains the shell to the condenser, sends the water round the heater",
  isolate_extraction: "Isolate steam",
  isolate_extraction_title: "Shuts the extraction's stop valve; the water still passes through",
  put_back: "Put back",
  put_back_title: "Brings water and steam back to the heater",
  fig_fw_in_temperature: "Water in",
  fig_fw_out_temperature: "Water out",
  fig_ttd: "TTD",
  fig_ttd_title: "Terminal temperature difference: saturation temperature in the shell less water out",
  fig_dca: "DCA",
  fig_dca_title: "Drain cooler approach: drain leaving less water in",
  fig_drain_temperature: "Drain leaving",
  fig_saturation_temperature: "Saturation",
  fig_shell_pressure: "Shell pressure",
  fig_fw_ramp: "Ramp",
  fig_fw_ramp_title: "How fast the water leaving changes temperature; permitted {limit}",
  fig_extraction_flow: "Extraction",
  fig_extraction_pressure: "At the turbine",
  fig_extraction_temperature: "Steam",
  fig_stop_valve: "Stop valve",
  fig_drain_in_flow: "Drain arriving",
  fig_fw_flow: "Water flow",
  fig_vent_flow: "Vent",
  level: "Level",
  level_is_normal: "normal",
  level_about_normal: "about normal",
  level_is_low: "level low",
  level_is_high: "level high",
  level_is_emergency: "emergency level",
  level_is_high_high: "level high-high",
  level_drained: "heater off",
  tag_low: "L",
  tag_high: "H",
  tag_emergency: "E",
  tag_high_high: "HH",
  normal_drain: "Normal drain",
  emergency_drain: "Emergency drain",
  drain_slider: "{heater}: {name} valve by hand, percent open",
  drain_number: "{heater}: {name} valve by hand, number, percent open",
  drain_mode: "{heater}: {name} valve, automatic or by hand",
  auto: "Auto",
  auto_title: "The valve follows its controller",
  hand: "Hand",
  hand_title: "Takes the valve by hand, where it stands",
  device_condenser: "Condenser",
  device_unit: "Unit",
  device_command: "Command",

  trend: "Trend",
  trend_slider: "Trend: read it at a plant time with the arrow keys",
  trend_in: "In the last {n} minutes:",
  trend_summary: "{name} went from {from} to {to}, lowest {low}, highest {high}.",
  at_time: "at {time}",
  window: "Length of the trend in plant time",
  minutes: "{n} min",

  events: "What happened",
  no_events: "Nothing yet. Trip a heater, or shut off its steam, and watch the water.",
  event_load_set: "Load asked: {value}",
  event_heater_tripped: "{device} tripped by the operator",
  event_extraction_isolated: "{device}: steam shut off by the operator",
  event_put_back: "{device}: being put back",
  event_drain_moved: "{device}: drain valve moved by hand to {value}",
  event_drain_released: "{device}: drain valve back to automatic",
  event_level_low: "{device}: level low, {value}",
  event_level_high: "{device}: level high, {value}",
  event_level_high_high: "{device} tripped by protection: level high-high, {value}",
  event_level_normal: "{device}: level back to normal",
  event_stop_valve_shut: "{device}: extraction stop valve shut",
  event_stop_valve_open: "{device}: extraction stop valve open",
  event_bypassed: "{device}: all water goes round it",
  event_in_service: "{device} in service",
  event_emergency_drain_open: "{device}: emergency drain opens to the condenser",
  event_emergency_drain_shut: "{device}: emergency drain shut",
  event_group_tripped: "{device} tripped too: it shares the bypass",
  event_feed_pumps_at_limit: "Feed pumps cannot give the flow asked",
  event_suction_head_low: "Feed pumps: suction head below what they need",
  event_suction_head_restored: "Feed pumps: suction head sufficient again",
  event_pressure_out_of_range: "{device}: shell pressure outside what the model follows",
  event_carry_over: "{device}: the full shell sends water towards the turbine",

  mass_books: "Mass balance off by",
  energy_books: "energy balance off by",
  books_why: "(shares of the flow; zero is right)",
  books_title:
    "What the model has lost or made up since the start, as a share of what passed through: it should stay next to nothing",
  caution_short: "A training aid of invented plants.",
  caution_more: "Not for operating, protecting or designing a real unit.",
  caution:
    "Bledsteam is a training aid. Its plants are invented. It is not a source for operating, protecting or designing a real unit. Real work follows the plant's procedures, the makers' limits, the codes in force (pressure equipment, prevention of water entering the turbine, lock-out and tag-out), and authorised people.",

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
  help_keys: "Keys",
  key_space: "Run or freeze",
  key_arrows: "Pick the heater before or after",
  key_digits: "Pick a heater by its number",
  key_trip: "Trip the picked heater",
  key_isolate: "Shut off the steam of the picked heater",
  key_back: "Put the picked heater back",
  key_speed: "Faster, slower",
  key_units: "SI or US units",
  key_help: "This help",
  keys_on: "Letters, digits and signs work as keys",
};

/** @typedef {keyof typeof words} Word */

/**
 * @param {string} text
 * @param {Record<string, string | number>} fields
 */
function fill(text, fields) {
  return text.replace(/\{(\w+)\}/g, (whole, name) => String(fields[name] ?? whole));
}

/**
 * @param {Word} key
 * @param {Record<string, string | number>} [fields]
 */
export function say(key, fields) {
  return fields ? fill(words[key], fields) : words[key];
}

/**
 * For keys that come from the engine: what the catalogue does not know is shown as it came.
 * @param {string} key
 * @param {string} otherwise
 */
export function sayOr(key, otherwise) {
  return Object.hasOwn(words, key) ? words[/** @type {Word} */ (key)] : otherwise;
}
