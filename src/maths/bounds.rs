//! What sizes an engine of a boat or road vehicle can have, in SI: outside them a unit or a digit slipped.
//!
//! Where it can be, the upper end is less than 25.4 times the lower, so that a size given in the wrong one of inch and
//! millimetre always falls outside. Common practice; wide on purpose.

/// Bore or piston, m.
pub const BORE: (f64, f64) = (0.025, 0.500);
/// Stroke, m.
pub const STROKE: (f64, f64) = (0.025, 0.600);
/// Rod length between centres, or block height, m.
pub const REACH: (f64, f64) = (0.050, 1.200);
/// Compression height (pin centre to crown), m.
pub const COMPRESSION_HEIGHT: (f64, f64) = (0.010, 0.250);
/// Journal or bearing inside diameter, m.
pub const JOURNAL: (f64, f64) = (0.015, 0.350);
/// Bearing housing, m.
pub const HOUSING: (f64, f64) = (0.016, 0.400);
/// Wall of one half-shell, m.
pub const WALL: (f64, f64) = (0.0005, 0.0125);
/// A dial's reading, from wherever it was zeroed, m.
pub const DIAL: (f64, f64) = (-0.030, 0.030);
/// Largest less smallest reading of one turn of a crank that can still be saved, m.
pub const RUNOUT: f64 = 0.0025;
/// Crank end float as measured, m.
pub const END_FLOAT: (f64, f64) = (0.0, 0.003);
/// Thickness of a thrust washer, m.
pub const WASHER: (f64, f64) = (0.001, 0.0125);
/// Width of a crank pin between its cheeks, m.
pub const PIN_WIDTH: (f64, f64) = (0.010, 0.200);
/// Height over a plate on which a crank lies, m.
pub const HEIGHT: (f64, f64) = (0.0, 3.0);
/// Ring end gap as measured, m; a ring that butts reads zero.
pub const GAP: (f64, f64) = (0.0, 0.005);
/// Ring gap per unit of bore.
pub const GAP_FACTOR: (f64, f64) = (0.001, 0.020);
/// Piston below the deck (negative: proud of it), m.
pub const DECK: (f64, f64) = (-0.010, 0.025);
/// Head gasket, crushed, m.
pub const GASKET: (f64, f64) = (0.0001, 0.005);
/// Compression ratio a target may ask for.
pub const RATIO: (f64, f64) = (2.0, 30.0);
/// Cylinders of one engine.
pub const CYLINDERS: (f64, f64) = (1.0, 24.0);
/// Temperature of a part on the bench, K: -40 to 200 degrees C.
pub const BENCH: (f64, f64) = (233.15, 473.15);
/// Linear expansion coefficient, per kelvin.
pub const EXPANSION: (f64, f64) = (0.0, 50e-6);
/// Stock left for the hone or the polish, on diameter, m.
pub const ALLOWANCE: (f64, f64) = (0.0, 0.0005);
/// Standard oversize or undersize as a share of the nominal size.
pub const STEP_SHARE: f64 = 0.1;
/// Gudgeon pin off the centre of the bore, m; negative is away from the major thrust face.
pub const PIN_OFFSET: (f64, f64) = (-0.010, 0.010);
/// Angle of the crank from top dead centre, rad: two turns either way.
pub const CRANK: (f64, f64) = (-4.0 * std::f64::consts::PI, 4.0 * std::f64::consts::PI);
/// Speed of the crank, rad/s: 10 to 20 000 rpm.
pub const TURNING: (f64, f64) = (1.047_197_551_196_597_6, 2_094.395_102_393_195_5);
/// Gudgeon pin or the hole it goes in, m.
pub const PIN: (f64, f64) = (0.008, 0.150);
/// Temperature of a part that is heated or chilled to be fitted, or at work, K: -200 to 400 degrees C.
pub const WORKING: (f64, f64) = (73.15, 673.15);
/// Metal one cut takes off a face, m.
pub const CUT: (f64, f64) = (0.00001, 0.005);
/// Opening of a chamber, or the face of a bore, m².
pub const FACE: (f64, f64) = (0.0002, 0.2);
/// Lift of a valve, m.
pub const LIFT: (f64, f64) = (0.0, 0.040);
/// Travel of a valve from its seat to the piston, m.
pub const VALVE_DROP: (f64, f64) = (0.0, 0.150);
/// Pressure a cylinder pumps up when cranked, Pa.
pub const CRANKING: (f64, f64) = (0.0, 6e6);
