//! Sheet materials by name, with the source of each value; or as the job types them.

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
