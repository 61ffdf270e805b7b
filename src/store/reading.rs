//! A node of a file's tree as serde reads it: what may stand where is told by the types, what a
//! number means is left to `ron`, and every mistake names the node it is about.

use serde::de::{
    self, DeserializeOwned, DeserializeSeed, Deserializer as _, IntoDeserializer, Visitor,
};

use crate::base::text;
use crate::store::tree::{Node, NodeKind, NodePart};
use crate::store::wrong::{Wrong, unknown_word};

impl Node {
    /// Reads the node; a mistake that no inner node has claimed is about this one.
    pub(crate) fn read<'de, S: DeserializeSeed<'de>>(&self, seed: S) -> Result<S::Value, Wrong> {
        seed.deserialize(self).map_err(|wrong| wrong.claimed_by(self))
    }

    /// The node in words.
    fn shown(&self) -> String {
        match &self.kind {
            NodeKind::Word(word) => format!("the word `{word}`"),
            NodeKind::Text(text) => format!("the text {text:?}"),
            NodeKind::Number(text) => format!("`{}`", text::fit(text, 40).trim_end()),
            NodeKind::Group { open: '[', .. } => "a list".to_owned(),
            NodeKind::Group { open: '{', .. } => "entries in braces".to_owned(),
            NodeKind::Group { .. } if self.is_keyed() => "a group of fields".to_owned(),
            NodeKind::Group { .. } => "values in round brackets".to_owned(),
            NodeKind::StandIn => "nothing".to_owned(),
        }
    }

    fn wrong_kind(&self, expected: &str) -> Wrong {
        let what = format!("{} cannot stand here", self.shown());
        Wrong::new(what).or(format!("expected {expected}")).claimed_by(self)
    }

    /// A number is read by `ron`, as the type asked for, so that one out of its range is told as
    /// such.
    fn number<T: DeserializeOwned>(&self, expected: &str) -> Result<T, Wrong> {
        let text = match &self.kind {
            NodeKind::Number(text) => text,
            NodeKind::Word(word) if matches!(word.as_str(), "inf" | "NaN") => word,
            NodeKind::StandIn => "1",
            _ => return Err(self.wrong_kind(expected)),
        };
        ron::from_str(text).map_err(|_| self.wrong_kind(expected))
    }

    /// The parts of a group with this bracket; none of a stand-in.
    fn parts_in(
        &self,
        bracket: char,
        is_keyed: bool,
        expected: &str,
    ) -> Result<NodeParts<'_>, Wrong> {
        match &self.kind {
            NodeKind::StandIn => Ok(NodeParts(&[])),
            NodeKind::Group { open, parts, .. }
                if *open == bracket && parts.iter().all(|part| part.key.is_some() == is_keyed) =>
            {
                Ok(NodeParts(parts))
            }
            _ => Err(self.wrong_kind(expected)),
        }
    }
}

macro_rules! numbers {
    ($($method:ident $visit:ident $expected:literal;)+) => { $(
        fn $method<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Wrong> {
            visitor.$visit(self.number($expected)?)
        }
    )+ };
}

impl<'de> de::Deserializer<'de> for &Node {
    type Error = Wrong;

    /// No type of a home leaves open what it is, so that a mistake can always say what belongs
    /// there.
    fn deserialize_any<V: Visitor<'de>>(self, _visitor: V) -> Result<V::Value, Wrong> {
        Err(self.wrong_kind("another kind of value"))
    }

    numbers! {
        deserialize_i32 visit_i32 "a whole number";
        deserialize_i64 visit_i64 "a whole number";
        deserialize_u8 visit_u8 "a whole number, 0 to 255";
        deserialize_u16 visit_u16 "a whole number, 0 or more";
        deserialize_u32 visit_u32 "a whole number, 0 or more";
        deserialize_u64 visit_u64 "a whole number, 0 or more";
        deserialize_f32 visit_f32 "a number";
        deserialize_f64 visit_f64 "a number";
    }

    fn deserialize_bool<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Wrong> {
        match (&self.kind, self.plain()) {
            (_, Some("true")) => visitor.visit_bool(true),
            (_, Some("false")) | (NodeKind::StandIn, _) => visitor.visit_bool(false),
            _ => Err(self.wrong_kind("`true` or `false`")),
        }
    }

    fn deserialize_str<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Wrong> {
        match &self.kind {
            NodeKind::Text(text) => visitor.visit_str(text),
            NodeKind::StandIn => visitor.visit_str("x"),
            _ => Err(self.wrong_kind("a text in double quotes")),
        }
    }

    fn deserialize_string<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Wrong> {
        self.deserialize_str(visitor)
    }

    fn deserialize_option<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Wrong> {
        match (&self.kind, self.leading_word(), self.only_item()) {
            (NodeKind::StandIn, ..) | (NodeKind::Word(_), Some("None"), _) => visitor.visit_none(),
            (_, Some("Some"), Some(item)) => {
                visitor.visit_some(item).map_err(|wrong: Wrong| wrong.claimed_by(item))
            }
            _ => visitor.visit_some(self),
        }
    }

    fn deserialize_newtype_struct<V: Visitor<'de>>(
        self,
        _name: &'static str,
        visitor: V,
    ) -> Result<V::Value, Wrong> {
        visitor.visit_newtype_struct(self.only_item().unwrap_or(self))
    }

    fn deserialize_seq<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Wrong> {
        let expected = "a list in square brackets, `[value, ...]`";
        visitor.visit_seq(self.parts_in('[', false, expected)?)
    }

    fn deserialize_tuple<V: Visitor<'de>>(
        self,
        _length: usize,
        visitor: V,
    ) -> Result<V::Value, Wrong> {
        let expected = "values in round brackets, `(value, value)`";
        visitor.visit_seq(self.parts_in('(', false, expected)?)
    }

    fn deserialize_map<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Wrong> {
        let expected = "entries in braces, `{\"key\": value, ...}`";
        visitor.visit_map(self.parts_in('{', true, expected)?)
    }

    fn deserialize_struct<V: Visitor<'de>>(
        self,
        name: &'static str,
        _fields: &'static [&'static str],
        visitor: V,
    ) -> Result<V::Value, Wrong> {
        let expected = "a group of fields in round brackets, `(name: value, ...)`";
        let fields = self.parts_in('(', true, expected)?;
        visitor.visit_map(fields).map_err(|wrong: Wrong| wrong.in_group(name))
    }

    fn deserialize_enum<V: Visitor<'de>>(
        self,
        name: &'static str,
        variants: &'static [&'static str],
        visitor: V,
    ) -> Result<V::Value, Wrong> {
        let found = match (&self.kind, self.leading_word()) {
            (NodeKind::StandIn, _) => return visitor.visit_enum(VariantNode(self, variants[0])),
            (_, Some(word)) if variants.contains(&word) => {
                return visitor.visit_enum(VariantNode(self, word));
            }
            (_, Some(word)) => word.to_owned(),
            (NodeKind::Text(text), None) => format!("{text:?}"),
            (_, None) => self.shown(),
        };
        Err(unknown_word(name, &found, variants))
    }

    fn deserialize_identifier<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Wrong> {
        match self.plain() {
            Some(word) => visitor.visit_str(word),
            None => Err(self.wrong_kind("a name")),
        }
    }

    fn deserialize_ignored_any<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Wrong> {
        visitor.visit_unit()
    }

    serde::forward_to_deserialize_any! {
        i8 i16 i128 u128 char bytes byte_buf unit unit_struct tuple_struct
    }
}

/// The parts of a group that are still to be read.
struct NodeParts<'t>(&'t [NodePart]);

impl<'de> de::SeqAccess<'de> for NodeParts<'_> {
    type Error = Wrong;

    fn next_element_seed<S: DeserializeSeed<'de>>(
        &mut self,
        seed: S,
    ) -> Result<Option<S::Value>, Wrong> {
        let Some((next, rest)) = self.0.split_first() else { return Ok(None) };
        self.0 = rest;
        next.value.read(seed).map(Some)
    }
}

impl<'de> de::MapAccess<'de> for NodeParts<'_> {
    type Error = Wrong;

    fn next_key_seed<S: DeserializeSeed<'de>>(
        &mut self,
        seed: S,
    ) -> Result<Option<S::Value>, Wrong> {
        let key = self.0.first().and_then(|next| next.key.as_ref());
        key.map(|key| key.read(seed)).transpose()
    }

    fn next_value_seed<S: DeserializeSeed<'de>>(&mut self, seed: S) -> Result<S::Value, Wrong> {
        let read = de::SeqAccess::next_element_seed(self, seed)?;
        read.ok_or_else(|| Wrong::new("a value is missing here"))
    }
}

/// A word of a vocabulary, perhaps with something in brackets.
struct VariantNode<'t>(&'t Node, &'t str);

impl<'de> de::EnumAccess<'de> for VariantNode<'_> {
    type Error = Wrong;
    type Variant = Self;

    fn variant_seed<S: DeserializeSeed<'de>>(self, seed: S) -> Result<(S::Value, Self), Wrong> {
        let word = seed.deserialize(self.1.into_deserializer())?;
        Ok((word, self))
    }
}

impl<'de> de::VariantAccess<'de> for VariantNode<'_> {
    type Error = Wrong;

    fn unit_variant(self) -> Result<(), Wrong> {
        match self.0.kind {
            NodeKind::Word(_) | NodeKind::StandIn => Ok(()),
            _ => Err(Wrong::new(format!("`{}` has no brackets", self.1))
                .or(format!("write `{}` alone", self.1))),
        }
    }

    fn newtype_variant_seed<S: DeserializeSeed<'de>>(self, seed: S) -> Result<S::Value, Wrong> {
        match self.0.only_item() {
            Some(item) => item.read(seed),
            None => Err(Wrong::new(format!("`{}` needs a value in brackets", self.1))
                .or(format!("write `{}(...)`", self.1))),
        }
    }

    fn tuple_variant<V: Visitor<'de>>(self, length: usize, visitor: V) -> Result<V::Value, Wrong> {
        de::Deserializer::deserialize_tuple(self.0, length, visitor)
    }

    fn struct_variant<V: Visitor<'de>>(
        self,
        fields: &'static [&'static str],
        visitor: V,
    ) -> Result<V::Value, Wrong> {
        self.0.deserialize_struct("group", fields, visitor)
    }
}
