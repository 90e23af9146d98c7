//! Sheet materials by name, with the source of each value; or as the job types them.
//!
//! The values are of the middle of what is sold under a name; a sheet weighed and measured is
//! always better, and the job may state it (`material = { name, density, modulus, movement }`).

/// What the sheet is made of. Values are `None` where nobody stated them.
#[derive(Clone, Debug, PartialEq)]
pub struct Material {
    /// Its name.
    pub name: String,
    /// kg/m³.
    pub density: Option<f64>,
    /// Modulus of elasticity in bending, MPa.
    pub modulus: Option<f64>,
    /// In-plane movement, mm per m for each percent of moisture content.
    pub movement: Option<f64>,
    /// Where the values come from, to be printed beside what is computed from them.
    pub source: String,
}

/// One known material: names (the first is shown), density, modulus, movement, source.
struct Known {
    names: &'static [&'static str],
    density: f64,
    modulus: Option<f64>,
    movement: Option<f64>,
    source: &'static str,
}

/// Sources: "Wood Handbook" is [GTR190]: table 12-1 for panels (ranges of specific
/// gravity and modulus), table 13-5 for movement of solid wood, tangential, per percent of
/// moisture content. Solid wood moves across the grain; along it the movement is a fiftieth.
const KNOWN: &[Known] = &[
    Known {
        names: &["birch plywood", "birch ply", "baltic birch", "baltic birch plywood"],
        density: 680.0,
        modulus: Some(8000.0),
        movement: None,
        source: "density from memory; modulus within Wood Handbook table 12-1 for plywood, 6960 to 8550 MPa",
    },
    Known {
        names: &["plywood", "softwood plywood", "ply"],
        density: 550.0,
        modulus: Some(7500.0),
        movement: None,
        source: "within Wood Handbook table 12-1 for plywood: 400 to 600 kg/m³, 6960 to 8550 MPa",
    },
    Known {
        names: &["MDF", "medium-density fibreboard", "medium-density fiberboard"],
        density: 750.0,
        modulus: Some(3590.0),
        movement: Some(0.5),
        source: "Wood Handbook table 12-1: 700 to 900 kg/m³, 3590 MPa; movement 0.05 % per percent of moisture, \
                 mdf-info.eu handling page",
    },
    Known {
        names: &["particleboard", "chipboard"],
        density: 680.0,
        modulus: Some(3000.0),
        movement: None,
        source: "within Wood Handbook table 12-1 for particleboard: 600 to 800 kg/m³, 2760 to 4140 MPa",
    },
    Known {
        names: &["OSB", "oriented strand board"],
        density: 620.0,
        modulus: Some(5000.0),
        movement: None,
        source: "within Wood Handbook table 12-1 for OSB: 500 to 800 kg/m³, 4410 to 6280 MPa",
    },
    Known {
        names: &["hardboard"],
        density: 950.0,
        modulus: Some(4300.0),
        movement: None,
        source: "within Wood Handbook table 12-1 for hardboard: 900 to 1000 kg/m³, 3100 to 5520 MPa",
    },
    Known {
        names: &["white oak", "oak"],
        density: 680.0,
        modulus: Some(12_270.0),
        movement: Some(3.65),
        source: "Wood Handbook table 12-1, white oak; movement across the grain, tangential, table 13-5",
    },
    Known {
        names: &["red maple"],
        density: 540.0,
        modulus: Some(11_310.0),
        movement: Some(2.89),
        source: "Wood Handbook table 12-1, red maple; movement across the grain, tangential, table 13-5",
    },
    Known {
        names: &["beech"],
        density: 700.0,
        modulus: None,
        movement: Some(4.31),
        source: "density from memory; movement across the grain, tangential, Wood Handbook table 13-5, American beech",
    },
    Known {
        names: &["Douglas fir", "Douglas-fir"],
        density: 480.0,
        modulus: Some(13_440.0),
        movement: None,
        source: "Wood Handbook table 12-1, coastal Douglas-fir",
    },
    Known {
        names: &["LVL", "laminated veneer lumber"],
        density: 600.0,
        modulus: Some(12_000.0),
        movement: None,
        source: "within Wood Handbook table 12-1 for LVL: 400 to 700 kg/m³, 8960 to 19 240 MPa",
    },
];

impl Material {
    /// The material known by that name; capitals and spaces at the ends do not matter.
    pub fn known(name: &str) -> Option<Material> {
        let name = name.trim();
        KNOWN.iter().find(|k| k.names.iter().any(|n| n.eq_ignore_ascii_case(name))).map(|k| Material {
            name: k.names[0].to_owned(),
            density: Some(k.density),
            modulus: k.modulus,
            movement: k.movement,
            source: k.source.to_owned(),
        })
    }

    /// The names of all known materials, the shown name of each.
    pub fn names() -> impl Iterator<Item = &'static str> {
        KNOWN.iter().map(|k| k.names[0])
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn range(value: &serde_json::Value) -> (f64, f64) {
        match value {
            serde_json::Value::Array(ends) => (ends[0].as_f64().unwrap(), ends[1].as_f64().unwrap()),
            one => (one.as_f64().unwrap(), one.as_f64().unwrap()),
        }
    }

    #[test]
    fn values_lie_within_the_published_ranges() {
        let Some(text) = crate::testing::files::shared("reference/materials.json") else { return };
        let data: serde_json::Value = serde_json::from_str(&text).unwrap();
        let mut compared = 0;
        for row in data["panel_ranges_wood_handbook_12_1"]["rows"].as_array().unwrap() {
            let published = row["material"].as_str().unwrap();
            let name = published.split(" (").next().unwrap();
            let Some(material) = Material::known(name) else { continue };
            let (least, most) = range(&row["specific_gravity"]);
            let density = material.density.unwrap();
            assert!((1000.0 * least - 1.0..=1000.0 * most + 1.0).contains(&density), "{name}: {density} kg/m³");
            let (least, most) = range(&row["MOE_GPa"]);
            if let Some(modulus) = material.modulus {
                assert!((1000.0 * least - 0.5..=1000.0 * most + 0.5).contains(&modulus), "{name}: {modulus} MPa");
            }
            compared += 1;
        }
        assert!(compared >= 8, "only {compared} materials compared");
        let ply = &data["panel_ranges_wood_handbook_12_1"]["rows"][4];
        assert_eq!(ply["material"], "plywood");
        let (least, most) = range(&ply["MOE_GPa"]);
        let birch = Material::known("birch plywood").unwrap().modulus.unwrap();
        assert!((1000.0 * least..=1000.0 * most).contains(&birch));
        // Movement: the handbook's coefficient per percent is a ratio, ours mm per m.
        let coefficients = &data["dimensional_change_coefficients_13_5"]["CR_CT"];
        for (ours, published) in
            [("white oak", "white oak, commercial"), ("red maple", "maple, red"), ("beech", "beech, American")]
        {
            let tangential = coefficients[published][1].as_f64().unwrap();
            assert!((Material::known(ours).unwrap().movement.unwrap() - 1000.0 * tangential).abs() < 1e-9, "{ours}");
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
