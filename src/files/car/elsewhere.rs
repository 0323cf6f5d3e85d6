//! What people write of a driveline under keys of their own, and where it belongs.

const OVERDRIVE: &str = "multiply it into the gears that it works on and write those among the others, as in \
                         `ratios: [3.10, 1.92, 1.33, 1.05, 1.00, 0.79]` for 0.79 on third and top: 1.05 is 1.33 x 0.79";
const PRIMARY: &str = "multiply it into `final_drive`: 76/48 before sprockets of 16 and 46 teeth is 76/48 x 46/16, \
                       `final_drive: 4.55`; speeds are then right, and `ratios` stay those of the gearbox";
const CHAIN: &str = "sprockets are the final drive, `final_drive: 16/46`, front first; with a primary drive of 76/48 \
                     before them it is multiplied in, 76/48 x 46/16, `final_drive: 4.55`";
const AXLE: &str = "write it as `final_drive: 10/41`, or `final_drive: 4.1`";

/// Such keys, in small letters and with underscores, and what to write in their place.
pub const TOLD: &[(&str, &str)] = &[
    ("overdrive", OVERDRIVE),
    ("overdrive_ratio", OVERDRIVE),
    ("od", OVERDRIVE),
    ("primary", PRIMARY),
    ("primary_drive", PRIMARY),
    ("primary_ratio", PRIMARY),
    ("primary_reduction", PRIMARY),
    ("chain", CHAIN),
    ("chain_drive", CHAIN),
    ("sprocket", CHAIN),
    ("sprockets", CHAIN),
    ("front_sprocket", CHAIN),
    ("rear_sprocket", CHAIN),
    ("axle", AXLE),
    ("axle_ratio", AXLE),
    ("rear_axle", AXLE),
    ("diff_ratio", AXLE),
];
