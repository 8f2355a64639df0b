//! A hand's recipe in a file: as somebody wrote it, who leaves out what is the table's, or whole.
use recipe::{Planting, Recipe};
use schemars::{JsonSchema, Schema, SchemaGenerator};
use serde::{Deserialize, Deserializer, Serialize, Serializer};
use serde_json::Value;
use std::borrow::Cow;

/// A recipe, and whether all of it is written: a document keeps even what the table may have
/// otherwise one day.
#[derive(Clone, Debug, PartialEq)]
pub struct Given {
    pub recipe: Box<Recipe>,
    pub whole: bool,
}

impl<'de> Deserialize<'de> for Given {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let recipe = Deserialize::deserialize(deserializer)?;
        let whole = false;
        Ok(Self { recipe, whole })
    }
}

impl Serialize for Given {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        if self.whole {
            return self.recipe.serialize(serializer);
        }
        let plain = |value: &dyn Fn() -> serde_json::Result<Value>| {
            value().map_err(serde::ser::Error::custom)
        };
        let mut value = plain(&|| serde_json::to_value(&self.recipe))?;
        let mut table = plain(&|| serde_json::to_value(Recipe::default()))?;
        table["planting"] = plain(&|| serde_json::to_value(Planting::default()))?;
        leave_out(&mut value, &table);
        // A hand that is planted as most are says so all the same.
        if self.recipe.planting.is_some() && value.get("planting").is_none() {
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

impl JsonSchema for Given {
    fn schema_name() -> Cow<'static, str> {
        Recipe::schema_name()
    }

    fn json_schema(generator: &mut SchemaGenerator) -> Schema {
        Recipe::json_schema(generator)
    }
}
