//! What to do where no figure can be worked out from what is posted. Common practice.

use super::Case;

/// A sentence without its full stop.
pub fn advice(case: &Case) -> &'static str {
    let tight = case.under().is_some();
    match case.found.measure {
        "main oil clearance" | "rod oil clearance" => {
            "Measure again, then housing and journal, to see which of them is worn"
        }
        "main journal" | "rod journal" => "The grinder decides, with the whole set measured",
        "bore size" => "Hone if the size allows, else bore to the next oversize",
        "crank end float" => {
            "Seat the thrust halves and read again; look for dirt or a washer in backwards. Then a thinner washer, dressed on its steel back only: the lead decides"
        }
        "crank run-out" => "Check it again on its end mains; straightening is the crank grinder's work",
        "rod side clearance" if tight => "Check that the chamfers face the cheeks before anything is cut",
        "rod side clearance" => {
            "Look at rods and cheeks for wear: wider rods, or the cheeks built up by the crank grinder"
        }
        "rod length" | "rod length spread" => {
            "Look for a bent beam first; then replace the rod, or do the whole set alike"
        }
        "rod bend" | "rod twist" => {
            "Replace the rod, or have it straightened by a specialist and crack-tested again. Never bend it on the pin"
        }
        "cam bearing clearance" if tight => {
            "Look for a bearing driven in crooked or turned; have the set sized in place"
        }
        "cam bearing clearance" => "New cam bearings; if the journal is small, another camshaft",
        "lifter clearance" if tight => "Clean the bore and its edge, try another lifter. Do not open the bore by hand",
        "lifter clearance" => "New lifters, oversize where there are any; else bush the bores",
        "cam end float" if tight => {
            "Look for a thrust plate on its edge or a gear driven on too far; then a thicker spacer"
        }
        "cam end float" => "A new thrust plate, or a thinner spacer behind the gear",
        "pin in piston" | "pin in rod" => "Oversize pin and honed holes, a new bush, or new parts",
        "piston to deck" => {
            "The piston stands higher than the least: check rod, piston and their compression height before the deck is touched"
        }
        "rod bolt stretch" if tight => {
            "Tighten on to the figure in one pull; if it will not come, slacken, oil and start again"
        }
        "rod bolt stretch" => {
            "Slacken it and measure its free length: one that has grown past its maker's limit (0.001 in, common practice) is scrap. Never leave it so"
        }
        "cranking pressure spread" => {
            "Repeat with the throttle wide open, then a spoon of oil in the low one: if it rises, rings; if not, valves or gasket"
        }
        "piston to valve" => "Stop: check the cam timing first, then deepen the relief. Never run it so",
        "ring back clearance" if tight => {
            "The ring is too deep for its groove: wrong ring or wrong piston. Do not fit it"
        }
        "ring side clearance" => "Clean the groove and measure again; then reject the ring or the piston",
        "valve stem clearance" => "New guides, or valves with an oversize stem",
        "valve seat width" if tight => "Widen it with the seat cutter",
        "valve seat width" => "Narrow it from above and below, so that the contact stays in the middle of the face",
        "valve seat run-out" => "Try another pilot, look at the guide, then cut the seat again",
        "installed height" => {
            "A thinner shim if one is in, keepers that sit higher, or a deeper spring seat by the head's maker"
        }
        "spring seat load" | "spring open load" if tight => {
            "Measure its installed height, then shim or change the spring; keep the coil-bind margin"
        }
        "spring seat load" | "spring open load" => {
            "Measure its installed height, take shims out, or a softer spring: a flat cam wears under too much"
        }
        "coil bind margin" => "Stop: take shims out, or another spring. It breaks parts the first time it binds",
        "oil pump side clearance" | "oil pump tip clearance" if !tight => {
            "Another pump, or a matched pair of gears or rotors"
        }
        "oil pump end clearance" | "oil pump side clearance" | "oil pump tip clearance" => {
            "Look for dirt, a burr or the wrong gasket: a tight pump seizes"
        }
        "pick-up depth" if tight => {
            "Check sump, gasket and tube: too near the floor it starves at speed. Shim or bend the bracket, never the tube alone"
        }
        "pick-up depth" => "Check that the pick-up belongs to this sump: too far up it draws air",
        "turning torque" => "Stop and find what tightened: the last thing fitted comes out first",
        "leak-down" => "Listen for where the air goes: intake, exhaust, breather, radiator",
        "oil pressure" => "Do not run it on: check level, gauge and relief valve first",
        "chamber volume" => "Pour it again on a level head; then the chambers are made alike",
        _ => "Measure again, then ask the lead",
    }
}
