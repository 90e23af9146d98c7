//! Sheet materials by name, with the source of each value; or as the job types them.
//!
//! The values are of the middle of what is sold under a name; a sheet weighed and measured is
//! always better, and the job may state it (`material = { name, density, modulus, movement, heat }`);
//! what it does not state of a known one stays as known.

/// A figure of the sheet that may differ along the grain and across it.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct InPlane {
    /// Along the grain; `None` where nobody stated it.
    pub along: Option<f64>,
    /// Across it, in the sheet's plane.
    pub across: Option<f64>,
}

impl InPlane {
    /// Nothing is stated.
    pub const NONE: InPlane = InPlane { along: None, across: None };

    /// The same in every direction of the plane, as of a board without grain.
    pub const fn both(value: f64) -> InPlane {
        InPlane { along: Some(value), across: Some(value) }
    }

    /// Another one along the grain than across it.
    pub const fn two(along: f64, across: f64) -> InPlane {
        InPlane { along: Some(along), across: Some(across) }
    }

    /// Along the grain alone.
    const fn along(value: f64) -> InPlane {
        InPlane { along: Some(value), across: None }
    }

    /// The figures along x and along y, for a sheet whose grain runs so.
    pub fn of_axes(self, grain: Grain) -> [Option<f64>; 2] {
        match grain {
            Grain::Length => [self.along, self.across],
            Grain::Width => [self.across, self.along],
        }
    }
}

/// Which way the grain of the sheet (of its faces, if it is plywood) runs.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Grain {
    /// Along x, the sheet's length.
    #[default]
    Length,
    /// Along y, its width.
    Width,
}

/// How much moisture a material takes from air.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Sorption {
    /// As solid wood does; also for what nobody measured.
    #[default]
    Wood,
    /// As fibreboard does, which was pressed hot and takes less.
    Fibreboard,
}

/// What the sheet is made of. Values are `None` where nobody stated them.
#[derive(Clone, Debug, PartialEq)]
pub struct Material {
    /// Its name.
    pub name: String,
    /// kg/m³.
    pub density: Option<f64>,
    /// Modulus of elasticity in bending, MPa.
    pub modulus: InPlane,
    /// In-plane movement, mm per m for each percent of moisture content.
    pub movement: InPlane,
    /// In-plane expansion by heat, mm per m for each K.
    pub heat: InPlane,
    /// How much moisture it takes from air.
    pub sorption: Sorption,
    /// Where the values come from, to be printed beside what is computed from them.
    pub source: String,
}

/// One known material: names (the first is shown), density, modulus, movement, heat, source.
struct Known {
    names: &'static [&'static str],
    density: f64,
    modulus: InPlane,
    movement: InPlane,
    heat: InPlane,
    source: &'static str,
}

/// Movement of solid wood along the grain, mm per m for each percent of moisture. From memory:
/// 0.1 to 0.2 % from green to dry, that is over some 30 percent of moisture.
const ALONG_GRAIN: f64 = 0.05;

/// Heat along the grain, mm per m for each K: the middle of 3.1 to 4.5e-6 [GTR190], chapter 4.
const HEAT_ALONG_GRAIN: f64 = 0.0038;

/// Heat of solid wood: along the grain, and across it tangentially, (32.4 G + 18.4)e-6 with the
/// specific gravity G ([GTR190], chapter 4, formula from memory).
const fn heat_of_wood(specific_gravity: f64) -> InPlane {
    InPlane::two(HEAT_ALONG_GRAIN, (32.4 * specific_gravity + 18.4) * 1e-3)
}

/// Heat of balanced plywood, mm per m for each K (read in an extract, converted from per °F).
const HEAT_OF_PLYWOOD: f64 = 0.0061;

/// Sources: the boards' papers are [EWPAA] and [MDFINFO]; "Wood Handbook" is [GTR190]: table 12-1
/// for panels (ranges of specific gravity and modulus), table 13-5 for movement of solid wood,
/// tangential, per percent of moisture content: the most a board can move; one sawn on the quarter
/// moves about half as much.
const KNOWN: &[Known] = &[
    Known {
        names: &["birch plywood", "birch ply", "baltic birch", "baltic birch plywood"],
        density: 680.0,
        modulus: InPlane::both(8000.0),
        movement: InPlane::both(0.15),
        heat: InPlane::both(HEAT_OF_PLYWOOD),
        source: "density from memory; modulus within Wood Handbook table 12-1 for plywood, 6960 to 8550 MPa; \
                 movement from memory, 0.01 to 0.02 % per percent of moisture",
    },
    Known {
        names: &["plywood", "softwood plywood", "ply"],
        density: 550.0,
        modulus: InPlane::both(7500.0),
        movement: InPlane::both(0.1),
        heat: InPlane::both(HEAT_OF_PLYWOOD),
        source: "within Wood Handbook table 12-1 for plywood: 400 to 600 kg/m³, 6960 to 8550 MPa; movement from \
                 memory, APA's Plywood Design Specification: 0.02 % for ten percent of humidity, 0.2 % from bone dry to \
                 fibre saturation, that is 0.007 to 0.011 % per percent of moisture",
    },
    Known {
        names: &["MDF", "medium-density fibreboard", "medium-density fiberboard"],
        density: 750.0,
        modulus: InPlane::both(3590.0),
        movement: InPlane::both(0.4),
        heat: InPlane::both(0.012),
        source: "Wood Handbook table 12-1: 700 to 900 kg/m³, 3590 MPa; movement between two associations' papers, \
                 0.05 % (mdf-info.eu) and 0.025 to 0.033 % (EWPAA) per percent of moisture; heat from one weak source",
    },
    Known {
        names: &["particleboard", "chipboard"],
        density: 680.0,
        modulus: InPlane::both(3000.0),
        movement: InPlane::NONE,
        heat: InPlane::NONE,
        source: "within Wood Handbook table 12-1 for particleboard: 600 to 800 kg/m³, 2760 to 4140 MPa",
    },
    Known {
        names: &["OSB", "oriented strand board"],
        density: 620.0,
        modulus: InPlane::both(5000.0),
        movement: InPlane::NONE,
        heat: InPlane::NONE,
        source: "within Wood Handbook table 12-1 for OSB: 500 to 800 kg/m³, 4410 to 6280 MPa",
    },
    Known {
        names: &["hardboard"],
        density: 950.0,
        modulus: InPlane::both(4300.0),
        movement: InPlane::NONE,
        heat: InPlane::NONE,
        source: "within Wood Handbook table 12-1 for hardboard: 900 to 1000 kg/m³, 3100 to 5520 MPa",
    },
    Known {
        names: &["white oak", "oak"],
        density: 680.0,
        modulus: InPlane::along(12_270.0),
        movement: InPlane::two(ALONG_GRAIN, 3.65),
        heat: heat_of_wood(0.68),
        source: "Wood Handbook table 12-1, white oak, modulus along the grain; movement across the grain, tangential, \
                 table 13-5, along it from memory",
    },
    Known {
        names: &["red maple"],
        density: 540.0,
        modulus: InPlane::along(11_310.0),
        movement: InPlane::two(ALONG_GRAIN, 2.89),
        heat: heat_of_wood(0.54),
        source: "Wood Handbook table 12-1, red maple, modulus along the grain; movement across the grain, tangential, \
                 table 13-5, along it from memory",
    },
    Known {
        names: &["beech"],
        density: 700.0,
        modulus: InPlane::NONE,
        movement: InPlane::two(ALONG_GRAIN, 4.31),
        heat: heat_of_wood(0.64),
        source: "density from memory; movement across the grain, tangential, Wood Handbook table 13-5, American beech, \
                 along it from memory",
    },
    Known {
        names: &["Douglas fir", "Douglas-fir"],
        density: 480.0,
        modulus: InPlane::along(13_440.0),
        movement: InPlane::NONE,
        heat: heat_of_wood(0.48),
        source: "Wood Handbook table 12-1, coastal Douglas-fir, modulus along the grain",
    },
    Known {
        names: &["LVL", "laminated veneer lumber"],
        density: 600.0,
        modulus: InPlane::along(12_000.0),
        movement: InPlane::NONE,
        heat: InPlane::NONE,
        source: "within Wood Handbook table 12-1 for LVL: 400 to 700 kg/m³, 8960 to 19 240 MPa along the grain",
    },
];

/// Of the known ones, those that are solid wood.
const SOLID_WOOD: [&str; 4] = ["white oak", "red maple", "beech", "Douglas fir"];

impl Material {
    /// The material known by that name; capitals and spaces at the ends do not matter.
    pub fn known(name: &str) -> Option<Material> {
        let name = name.trim();
        KNOWN.iter().find(|k| k.names.iter().any(|n| n.eq_ignore_ascii_case(name))).map(|k| Material {
            name: k.names[0].to_owned(),
            density: Some(k.density),
            modulus: k.modulus,
            movement: k.movement,
            heat: k.heat,
            sorption: if k.names[0] == "MDF" { Sorption::Fibreboard } else { Sorption::Wood },
            source: k.source.to_owned(),
        })
    }

    /// What is stated of a sheet, and of a known material of its name what is not.
    pub fn filled_from(self, known: Material) -> Material {
        let nothing =
            [self.modulus, self.movement, self.heat].iter().all(|f| *f == InPlane::NONE) && self.density.is_none();
        let or = |stated: InPlane, known: InPlane| if stated == InPlane::NONE { known } else { stated };
        Material {
            density: self.density.or(known.density),
            modulus: or(self.modulus, known.modulus),
            movement: or(self.movement, known.movement),
            heat: or(self.heat, known.heat),
            sorption: known.sorption,
            source: if nothing { known.source } else { format!("{}; the rest: {}", self.source, known.source) },
            name: known.name,
        }
    }

    /// True for a known solid wood, whose moisture and movement the handbook tabulates as such.
    pub fn is_solid_wood(&self) -> bool {
        SOLID_WOOD.contains(&self.name.as_str())
    }

    /// The names of all known materials, the shown name of each.
    pub fn names() -> impl Iterator<Item = &'static str> {
        KNOWN.iter().map(|k| k.names[0])
    }
}

#[cfg(test)]
mod tests {
    use crate::job::parse;

    #[test]
    fn what_a_job_states_of_a_known_material_takes_the_place_of_that_alone() {
        let text = include_str!("../../../../examples/trailer-top.toml");
        let stated = |material: &str| {
            let line = text.lines().find(|l| l.starts_with("material = ")).unwrap();
            parse(&text.replace(line, &format!("material = {material}"))).job.unwrap().top.material
        };
        let known = Material::known("OSB").unwrap();
        let weighed = stated("{ name = \"OSB\", movement = [0.2, 0.3], heat = 0.006 }");
        assert_eq!((weighed.density, weighed.modulus), (known.density, known.modulus));
        assert_eq!(weighed.movement, InPlane::two(0.2, 0.3));
        assert_eq!(weighed.heat, InPlane::both(0.006));
        assert!(weighed.source.starts_with("as the job states it; the rest: "), "{}", weighed.source);
        let own = stated("{ name = \"cork board\", density = 200 }");
        assert_eq!((own.density, own.heat, own.source.as_str()), (Some(200.0), InPlane::NONE, "as the job states it"));
    }

    use super::*;

    fn range(value: &serde_json::Value) -> (f64, f64) {
        match value {
            serde_json::Value::Array(ends) => (ends[0].as_f64().unwrap(), ends[1].as_f64().unwrap()),
            one => (one.as_f64().unwrap(), one.as_f64().unwrap()),
        }
    }

    #[test]
    fn values_lie_within_the_reference_ranges() {
        let data: serde_json::Value = serde_json::from_str(include_str!("../../tests/data/materials.json")).unwrap();
        let mut compared = 0;
        for row in data["panels"]["rows"].as_array().unwrap() {
            let published = row["material"].as_str().unwrap();
            let name = published.split(" (").next().unwrap();
            let Some(material) = Material::known(name) else { continue };
            let (least, most) = range(&row["specific_gravity"]);
            let density = material.density.unwrap();
            assert!((1000.0 * least - 1.0..=1000.0 * most + 1.0).contains(&density), "{name}: {density} kg/m³");
            let (least, most) = range(&row["MOE_GPa"]);
            if let Some(modulus) = material.modulus.along {
                assert!((1000.0 * least - 0.5..=1000.0 * most + 0.5).contains(&modulus), "{name}: {modulus} MPa");
            }
            compared += 1;
        }
        assert!(compared >= 8, "only {compared} materials compared");
        let ply = &data["panels"]["rows"][4];
        assert_eq!(ply["material"], "plywood");
        let (least, most) = range(&ply["MOE_GPa"]);
        let birch = Material::known("birch plywood").unwrap().modulus.along.unwrap();
        assert!((1000.0 * least..=1000.0 * most).contains(&birch));
        // Movement: the handbook's coefficient per percent is a ratio, ours mm per m.
        let coefficients = &data["movement"]["tangential"];
        for (ours, published) in
            [("white oak", "white oak, commercial"), ("red maple", "maple, red"), ("beech", "beech, American")]
        {
            let tangential = coefficients[published].as_f64().unwrap();
            assert!(
                (Material::known(ours).unwrap().movement.across.unwrap() - 1000.0 * tangential).abs() < 1e-9,
                "{ours}"
            );
        }
    }

    #[test]
    fn names_are_found_however_they_are_capitalised_and_only_once() {
        assert_eq!(Material::known(" mdf ").unwrap().name, "MDF");
        assert_eq!(Material::known("Birch Plywood").unwrap().density, Some(680.0));
        assert_eq!(Material::known("granite"), None);
        let mut seen = std::collections::BTreeSet::new();
        for known in KNOWN {
            for name in known.names {
                assert!(seen.insert(name.to_lowercase()), "{name} stands twice");
            }
            assert!(!known.source.is_empty());
        }
    }
}
