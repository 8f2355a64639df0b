//! A hand's recipe as somebody writes it, who leaves out what is the table's.
use recipe::{Planting, Recipe};
use serde::{Deserialize, Serialize, Serializer};
use serde_json::Value;

/// A recipe of which only what is not the table's is written. (A document's file has all of it,
/// for the table may have something else one day.)
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(transparent)]
pub struct Brief(pub Box<Recipe>);

impl Serialize for Brief {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let plain = |value: &dyn Fn() -> serde_json::Result<Value>| {
            value().map_err(serde::ser::Error::custom)
        };
        let mut value = plain(&|| serde_json::to_value(&self.0))?;
        let mut table = plain(&|| serde_json::to_value(Recipe::default()))?;
        table["planting"] = plain(&|| serde_json::to_value(Planting::default()))?;
        leave_out(&mut value, &table);
        // A hand that is planted as most are says so all the same.
        if self.0.planting.is_some() && value.get("planting").is_none() {
            value["planting"] = Value::Object(Default::default());
        }
        value.serialize(serializer)
    }
}

/// Leaves out the fields that are as the table has them.
fn leave_out(value: &mut Value, table: &Value) {
    if let (Value::Object(fields), Value::Object(table)) = (value, table) {
        fields.retain(|name, field| {
            let Some(own) = table.get(name) else {
                return true;
            };
            if field == own {
                return false;
            }
            leave_out(field, own);
            true
        });
    }
}
