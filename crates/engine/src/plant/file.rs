//! The plant file: what a practitioner reads off a heat-balance diagram and a heater data sheet.
//!
//! Units, everywhere: MPa absolute, °C, kg/s, kJ/kg, m, m³, kg, s; shares and efficiencies 0..1.
//! Nothing here is sized: the steady model derives conductances, valve coefficients and curves from these
//! figures, once, through the design heat balance.
//!
//! The figures of a heat balance stand by themselves; what only the moving plant needs (shells, valves, pipes,
//! inventories, control) is the `equipment` of each component. A plant as bare as a textbook's has none and can be
//! balanced, not run.

pub use super::crossover::{CONDENSER, MoistureSeparator, SteamReheater};
use super::defaults::{
    five_hundred, house_load, incoming_oxygen, leakage, leaving_oxygen, millionths, one, third, thirty,
    tube_bore, twenty,
};
pub use super::drains::{Characteristic, DrainPump, DrainTo, DrainValve};
pub use super::line_drain::LineDrain;
pub use super::pegging::Pegging;
pub use super::protection::Protection;
pub use super::pumps::{CondensatePumpEquipment, CondensatePumps, FeedPumpEquipment, FeedPumps, WarmUp};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// The only value of `format` this build reads.
pub const FORMAT: &str = "bledsteam-plant/1";

/// A whole plant.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Plant {
    /// Format of this file: `bledsteam-plant/1`.
    #[schemars(extend("const" = FORMAT))]
    pub format: String,
    /// Short name, as typed in a shell.
    pub name: String,
    /// Title for people.
    pub title: String,
    /// One or two sentences for people.
    pub summary: String,
    /// Where the figures come from.
    pub source: String,
    /// Boiler boundary.
    pub boiler: Boiler,
    /// Turbine and generator.
    pub turbine: Turbine,
    /// Heaters in the order the steam meets them: the first has the highest pressure and is heater 1. At most ten are
    /// closed and one is open.
    #[schemars(length(min = 1, max = 11))]
    pub heaters: Vec<Heater>,
    /// Heaters that go out of the water together, by id; a heater in no group has a bypass of its own.
    #[serde(default)]
    pub bypass_groups: Vec<Vec<String>>,
    /// Stroke time of every bypass [s].
    #[serde(default = "thirty")]
    pub bypass_stroke: f64,
    /// Condenser and hotwell.
    pub condenser: Condenser,
    /// Condensate pumps.
    pub condensate_pumps: CondensatePumps,
    /// Boiler feed pumps.
    pub feed_pumps: FeedPumps,
    /// How the enthalpy of feedwater is taken.
    #[serde(default)]
    pub water: Water,
    /// Prices and emissions.
    pub economics: Option<Economics>,
    /// Instruments.
    #[serde(default)]
    pub instruments: Instruments,
    /// Protection of the unit.
    #[serde(default)]
    pub protection: Protection,
}

impl Plant {
    /// Sign of the money; empty for a plant without prices.
    pub fn currency(&self) -> &str {
        self.economics.as_ref().map_or("", |e| &e.currency)
    }
}

/// Transmitters. For its level each shell has two, one for control, one for protection; their range reaches to 400 mm
/// either side of normal level (1500 mm at the open heater), or half as far again as the farthest mark. The others reach
/// over the span of the signal that shows them.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct Instruments {
    /// Time constant of a level transmitter [s].
    pub level_lag: f64,
    /// Standard deviation of its noise [mm].
    pub level_noise: f64,
    /// Smallest difference that it shows [mm].
    pub level_resolution: f64,
    /// Time constant of a temperature in its well [s].
    pub temperature_lag: f64,
    /// Time constant of a pressure transmitter [s].
    pub pressure_lag: f64,
    /// Time constant of a flow transmitter [s].
    pub flow_lag: f64,
    /// Standard deviation of the noise of temperatures, pressures, flows and power [share of the span].
    pub noise: f64,
}

impl Default for Instruments {
    /// Quiet transmitters with some damping (*common practice, no source*).
    fn default() -> Instruments {
        Instruments {
            level_lag: 1.0,
            level_noise: 0.0,
            level_resolution: 0.01,
            temperature_lag: 5.0,
            pressure_lag: 0.3,
            flow_lag: 0.2,
            noise: 0.0,
        }
    }
}

/// How the enthalpy of feedwater in pipes and tubes is taken.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Water {
    /// Of compressed liquid at the pumps' discharge pressure.
    #[default]
    Compressed,
    /// Of saturated liquid at its temperature, as textbooks often do.
    Saturated,
}

/// The boiler as the feedwater train sees it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Boiler {
    /// Steam flow to the throttle at design [kg/s].
    pub steam_flow: f64,
    /// Main steam pressure before the throttle [MPa].
    pub steam_pressure: f64,
    /// Main steam temperature [°C]; for wet or dry saturated steam give `steam_quality` instead.
    pub steam_temperature: Option<f64>,
    /// Main steam quality, 0.9 to 1 [share]; given instead of `steam_temperature`.
    pub steam_quality: Option<f64>,
    /// Drum (or steam generator) pressure, held [MPa].
    pub drum_pressure: f64,
    /// Loss from the feed pump's discharge to the drum at design flow: valve, heaters, economiser, lines [MPa].
    #[serde(default)]
    pub feed_line_loss: f64,
    /// Height of the drum above the feed pumps [m].
    #[serde(default)]
    pub drum_elevation: f64,
    /// Boiler efficiency on the lower heating value [share].
    #[serde(default = "one")]
    pub efficiency: f64,
    /// Gas that does not condense, in the steam [share by mass]; without it, five millionths (*common practice, no
    /// source*).
    #[serde(default = "millionths")]
    pub steam_gas: f64,
    /// Reheater, where the plant has one.
    pub reheat: Option<Reheat>,
    /// Drum and feed line, needed to run.
    pub equipment: Option<BoilerEquipment>,
}

/// Drum and feed line.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct BoilerEquipment {
    /// Water surface in the drum at normal level [m²].
    pub drum_surface: f64,
    /// Water held in the drum and what it feeds at normal level [kg].
    pub drum_mass: f64,
    /// Quickest change of steam flow asked by a load change [share of design flow per minute].
    pub load_rate: f64,
    /// Volume of the feed line from the last heater to the economiser [m³].
    pub feed_line_volume: f64,
}

/// Reheat between two turbine sections.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Reheat {
    /// Id of the heater whose extraction point the steam passes last before it is reheated.
    pub after: String,
    /// Cold reheat pressure [MPa], where it lies below that extraction point; without it, the extraction is taken from
    /// the cold reheat line.
    pub pressure: Option<f64>,
    /// Hot reheat temperature [°C].
    pub temperature: f64,
    /// Pressure lost in reheater and lines at design [share of cold reheat pressure].
    #[serde(default)]
    pub pressure_loss: f64,
}

/// Turbine sections between extraction points.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Turbine {
    /// Pressure lost in stop and governing valves at design [share].
    #[serde(default)]
    pub inlet_loss: f64,
    /// Isentropic efficiency on dry steam of each section in steam order [share]; sections end at extraction points, at a
    /// reheater or moisture separator with a pressure of its own, and at the condenser.
    pub section_efficiency: Vec<f64>,
    /// Baumann's factor: efficiency lost per unit of mean wetness [share per share].
    #[serde(default)]
    pub wetness_factor: f64,
    /// Leaving loss at design [kJ/kg]; varies with the square of the exhaust's volume flow.
    #[serde(default)]
    pub leaving_loss: f64,
    /// Mechanical and generator efficiency [share].
    #[serde(default = "one")]
    pub generator_efficiency: f64,
    /// Moisture separator between two sections, where the unit has one.
    pub moisture_separator: Option<MoistureSeparator>,
    /// Stroke time of stop and governing valves when the turbine trips or loses its load [s].
    #[serde(default = "one")]
    pub stop_valve_stroke: f64,
    /// Steam flow that the unit needs to run for itself, off the grid [share of design].
    #[serde(default = "house_load")]
    pub house_load: f64,
}

/// A heater.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(tag = "kind", rename_all = "snake_case")]
pub enum Heater {
    /// Shell and tubes.
    Closed(Box<ClosedHeater>),
    /// Direct contact, with storage tank.
    Open(OpenHeater),
}

impl Heater {
    /// Short id, unique in the plant.
    pub fn id(&self) -> &str {
        match self {
            Heater::Closed(h) => &h.id,
            Heater::Open(h) => &h.id,
        }
    }
    /// Name for people.
    pub fn name(&self) -> &str {
        match self {
            Heater::Closed(h) => &h.name,
            Heater::Open(h) => &h.name,
        }
    }
    /// Its extraction.
    pub fn extraction(&self) -> &Extraction {
        match self {
            Heater::Closed(h) => &h.extraction,
            Heater::Open(h) => &h.extraction,
        }
    }
    /// The valves of its extraction line, where it has equipment.
    pub fn extraction_valves(&self) -> Option<&ExtractionValves> {
        match self {
            Heater::Closed(h) => h.equipment.as_ref().map(|e| &e.extraction),
            Heater::Open(h) => h.equipment.as_ref().map(|e| &e.extraction),
        }
    }
}

/// Extraction line from a turbine section to a heater.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Extraction {
    /// Pressure at the turbine at design [MPa].
    pub pressure: f64,
    /// Pressure lost between turbine and shell at design [share].
    #[serde(default)]
    pub line_loss: f64,
}

/// Valves of an extraction line.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ExtractionValves {
    /// Stroke time of the motor-operated stop valve [s].
    pub stop_stroke: f64,
    /// Time in which the assisted non-return valve shuts [s].
    pub non_return_close: f64,
    /// Drain of the line to the condenser; without it, the line has none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub line_drain: Option<LineDrain>,
}

/// A closed feedwater heater.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ClosedHeater {
    /// Short id, unique in the plant: 1 to 12 small letters and digits.
    pub id: String,
    /// Name for people.
    pub name: String,
    /// Line by which its steam arrives.
    pub extraction: Extraction,
    /// Terminal temperature difference: saturation at shell pressure minus feedwater out [K]; may be negative
    /// with a desuperheating zone.
    pub ttd: Option<f64>,
    /// Feedwater outlet temperature [°C], given instead of `ttd`.
    pub outlet_temperature: Option<f64>,
    /// Desuperheating zone, where there is one.
    pub desuperheating: Option<Desuperheating>,
    /// Drain-cooling zone, where there is one; without it the drain leaves saturated.
    pub drain_cooling: Option<DrainCooling>,
    /// How much of the condensing zone's resistance lies on the water side at design [share]; that part falls with
    /// flow^0.8.
    #[serde(default = "third")]
    pub water_resistance: f64,
    /// Where the drain goes.
    pub drains_to: DrainTo,
    /// What the vent of the shell passes at design [kg/s]; half a per cent of the extraction steam is usual (*common
    /// practice, no source*). Without a vent, gas in the shell is not followed.
    #[serde(default)]
    pub vent_flow: f64,
    /// Where the vent goes.
    #[serde(default)]
    pub vents_to: VentTo,
    /// Shell, valves, pipes and control, needed to run.
    pub equipment: Option<HeaterEquipment>,
}

/// What a closed heater is made of.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct HeaterEquipment {
    /// Valves of its extraction line.
    pub extraction: ExtractionValves,
    /// Shell.
    pub shell: Shell,
    /// Inlet of the drain-cooling zone, where there is one.
    pub drain_inlet: Option<DrainInlet>,
    /// Water held in the tubes and channel [kg].
    pub tube_water: f64,
    /// Steel of tubes and tube sheet, which follows the water [kg].
    pub tube_metal: f64,
    /// Air that leaks into the shell where it stands under vacuum [kg/s]; without it, 0.18 kg/h (*common practice, no
    /// source*). At and above atmospheric pressure none leaks in.
    #[serde(default = "leakage")]
    pub air_leakage: f64,
    /// Inside diameter of a tube [m]: what a broken one lets through. Without it, 12.5 mm, as of tubes of 16 mm outside
    /// (*common practice, no source*).
    #[serde(default = "tube_bore")]
    pub tube_bore: f64,
    /// Volume of the feedwater pipe from this heater to the next [m³].
    pub outlet_pipe: f64,
    /// Normal drain valve.
    pub normal_drain: DrainValve,
    /// Emergency drain valve, to the condenser.
    pub emergency_drain: DrainValve,
    /// Level marks and control.
    pub level: LevelSettings,
    /// Permitted rate of change of feedwater temperature [K/min].
    pub ramp_limit: f64,
}

/// Desuperheating zone.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Desuperheating {
    /// Superheat with which the steam leaves the zone at design [K]: enough that the tubes stay dry.
    pub residual_superheat: f64,
}

/// Drain-cooling zone.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct DrainCooling {
    /// Drain cooler approach: drain out minus feedwater in [K].
    pub approach: f64,
}

/// Inlet of a drain-cooling zone.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct DrainInlet {
    /// Height of its lowest point above the shell's bottom [m]: below, steam only enters.
    pub bottom: f64,
    /// Height of its highest point [m]: above, water only enters.
    pub top: f64,
}

/// How a shell stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Attitude {
    /// Axis level.
    Horizontal,
    /// Axis upright.
    Vertical,
}

/// A shell or a storage tank.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Shell {
    /// How it stands.
    pub attitude: Attitude,
    /// Inside diameter [m].
    pub diameter: f64,
    /// Inside length [m].
    pub length: f64,
    /// How much of the inside tubes and baffles take [share].
    pub tube_share: f64,
    /// Height of the lowest condensing tube above the shell's bottom [m].
    pub lowest_tube: f64,
    /// Height of normal level above the shell's bottom [m].
    pub normal_level: f64,
    /// Steel in touch with the steam [kg].
    pub metal: f64,
    /// Time constant with which that steel follows the steam [s].
    pub metal_lag: f64,
    /// Height of the shell's bottom above the datum [m].
    pub elevation: f64,
}

/// Where the vent of a closed heater's shell goes.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum VentTo {
    /// The condenser.
    #[default]
    Condenser,
    /// The open heater, from the high-pressure side.
    Open,
}

/// Level marks, all about normal level, and level control.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct LevelSettings {
    /// Low level alarm, below normal level and so negative [mm].
    pub low: f64,
    /// High level alarm [mm].
    pub high: f64,
    /// Level at which the emergency drain begins to open [mm].
    pub emergency: f64,
    /// How far above `emergency` it is fully open [mm].
    pub emergency_band: f64,
    /// High-high level, at which protection takes the heater off [mm].
    pub high_high: f64,
    /// How long the level must stand at high-high [s].
    pub high_high_delay: f64,
    /// Level control: proportional gain [share of stroke per mm].
    pub gain: f64,
    /// Level control: integral time [s].
    pub integral_time: f64,
}

/// The open (deaerating) heater with its storage tank.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct OpenHeater {
    /// Short id, unique in the plant: 1 to 12 small letters and digits.
    pub id: String,
    /// Name for people.
    pub name: String,
    /// Line by which its steam arrives.
    pub extraction: Extraction,
    /// Steam vented at design [kg/s].
    #[serde(default)]
    pub vent_flow: f64,
    /// Tank, pipes and control, needed to run.
    pub equipment: Option<Box<OpenEquipment>>,
}

/// What the open heater is made of.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct OpenEquipment {
    /// Valves of its extraction line.
    pub extraction: ExtractionValves,
    /// Storage tank (no tubes: `tube_share` 0, `lowest_tube` anything).
    pub tank: Shell,
    /// Volume of the suction pipe to the feed pumps [m³].
    pub suction_pipe: f64,
    /// Friction in the suction pipe at design flow [m of water].
    pub suction_loss: f64,
    /// Oxygen in the condensate that arrives [µg/kg]; without it, 40 (*common practice, no source*).
    #[serde(default = "incoming_oxygen")]
    pub incoming_oxygen: f64,
    /// Oxygen in the water that leaves at design [µg/kg]; without it, 7, which is 0.005 cm³/L (HEI and ASME PTC 12.3
    /// figure, repeated in UFC 3-540-02N).
    #[serde(default = "leaving_oxygen")]
    pub leaving_oxygen: f64,
    /// Storage level control by condensate flow: gain [share of design flow per mm].
    pub level_gain: f64,
    /// Storage level control: integral time [s].
    pub level_integral_time: f64,
    /// Pegging steam; without it, nothing holds the pressure when extraction is lost.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub pegging: Option<Pegging>,
}

/// Surface condenser with hotwell.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Condenser {
    /// Pressure at design [MPa].
    pub pressure: f64,
    /// Cooling water; without it the pressure is held at every load.
    pub cooling: Option<Cooling>,
    /// Make-up water temperature [°C].
    #[serde(default = "twenty")]
    pub makeup_temperature: f64,
    /// Inventory and control, needed to run.
    pub equipment: Option<CondenserEquipment>,
}

/// Cooling water.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Cooling {
    /// Inlet temperature [°C].
    pub inlet: f64,
    /// Temperature rise at design [K].
    pub rise: f64,
}

/// What condenser and hotwell are made of.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct CondenserEquipment {
    /// Steel in touch with the steam [kg].
    pub metal: f64,
    /// Water in the hotwell at normal level [kg].
    pub hotwell_mass: f64,
    /// Hotwell surface [m²].
    pub hotwell_surface: f64,
    /// Largest make-up flow [kg/s].
    pub makeup_limit: f64,
    /// Height of the drain inlets above the datum [m].
    pub elevation: f64,
    /// Space that steam and air fill [m³].
    #[serde(default = "five_hundred")]
    pub steam_volume: f64,
    /// Volume that the vacuum pump draws [m³/s].
    #[serde(default = "one")]
    pub vacuum_pump: f64,
}

/// Prices and emissions.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Economics {
    /// Lower heating value of the fuel [kJ/kg].
    pub heating_value: f64,
    /// Price of fuel [money per GJ].
    pub fuel_price: f64,
    /// Sign of the money.
    pub currency: String,
    /// Carbon dioxide per heat of fuel [kg/GJ].
    pub carbon_dioxide: f64,
}
