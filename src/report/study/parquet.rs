//! The same tables in Parquet, for programs that read millions of rows.
//!
//! Names, units and meanings of the columns stand in the metadata of the file under the key `columns`, as
//! JSON. Row groups have a fixed number of rows, so that the bytes depend on the table alone.

use std::io::{self, Write};
use std::sync::Arc;

use ::parquet::basic::{Compression, ConvertedType, Repetition, Type as Physical};
use ::parquet::data_type::{ByteArray, ByteArrayType, DoubleType, Int64Type};
use ::parquet::errors::ParquetError;
use ::parquet::file::metadata::KeyValue;
use ::parquet::file::properties::WriterProperties;
use ::parquet::file::writer::{SerializedFileWriter, SerializedRowGroupWriter};
use ::parquet::schema::types::Type;

use crate::report::number::rounded;
use crate::report::study::columns::{Cell, Column, Kind, columns};
use crate::report::study::csv::{OF_PATHS, as_io};
use crate::report::study::table::Table;

/// Rows of a group: some megabytes of memory while it is written.
const GROUP: usize = 20_000;

/// An error of the library as one of writing; a full disk stays one.
fn failed(error: ParquetError) -> io::Error {
    match error {
        ParquetError::External(source) => match source.downcast::<io::Error>() {
            Ok(inner) => *inner,
            Err(other) => io::Error::other(other),
        },
        other => io::Error::other(other),
    }
}

/// A writer of the library takes what can be sent between threads; ours stays on one.
struct Counted<'w> {
    file: &'w mut (dyn Write + Send),
}

impl Write for Counted<'_> {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.file.write(bytes)
    }

    fn flush(&mut self) -> io::Result<()> {
        self.file.flush()
    }
}

/// A file under way.
struct Writer<'w> {
    inner: SerializedFileWriter<Counted<'w>>,
    kinds: Vec<Kind>,
    rows: Vec<Vec<Cell>>,
}

impl<'w> Writer<'w> {
    fn new(
        file: &'w mut (dyn Write + Send),
        columns: &[Column],
        facts: Vec<KeyValue>,
    ) -> io::Result<Self> {
        let field = |column: &Column| {
            let builder = match column.kind {
                Kind::Count => Type::primitive_type_builder(&column.name, Physical::INT64),
                Kind::Text => Type::primitive_type_builder(&column.name, Physical::BYTE_ARRAY)
                    .with_converted_type(ConvertedType::UTF8),
                Kind::Number => Type::primitive_type_builder(&column.name, Physical::DOUBLE),
            };
            let repetition = match column.kind {
                Kind::Number => Repetition::OPTIONAL,
                Kind::Count | Kind::Text => Repetition::REQUIRED,
            };
            builder.with_repetition(repetition).build().map(Arc::new)
        };
        let fields = columns.iter().map(field).collect::<Result<Vec<_>, _>>().map_err(failed)?;
        let schema =
            Type::group_type_builder("table").with_fields(fields).build().map_err(failed)?;
        let written_by = concat!(env!("CARGO_PKG_NAME"), " ", env!("CARGO_PKG_VERSION"));
        let properties = WriterProperties::builder()
            .set_created_by(written_by.to_owned())
            .set_compression(Compression::UNCOMPRESSED)
            .set_key_value_metadata(Some(facts))
            .build();
        let inner =
            SerializedFileWriter::new(Counted { file }, Arc::new(schema), Arc::new(properties))
                .map_err(failed)?;
        let kinds = columns.iter().map(|column| column.kind).collect();
        Ok(Self { inner, kinds, rows: Vec::new() })
    }

    fn row(&mut self, cells: Vec<Cell>) -> io::Result<()> {
        self.rows.push(cells);
        if self.rows.len() == GROUP { self.group().map_err(failed) } else { Ok(()) }
    }

    fn group(&mut self) -> Result<(), ParquetError> {
        let rows = std::mem::take(&mut self.rows);
        if rows.is_empty() {
            return Ok(());
        }
        let mut group = self.inner.next_row_group()?;
        for (index, kind) in self.kinds.iter().enumerate() {
            column(&mut group, *kind, rows.iter().map(|row| &row[index]))?;
        }
        group.close().map(|_| ())
    }

    fn finish(mut self) -> io::Result<()> {
        self.group().map_err(failed)?;
        self.inner.close().map(|_| ()).map_err(failed)
    }
}

fn column<'c>(
    group: &mut SerializedRowGroupWriter<'_, Counted<'_>>,
    kind: Kind,
    cells: impl Iterator<Item = &'c Cell>,
) -> Result<(), ParquetError> {
    let Some(mut writer) = group.next_column()? else {
        return Err(ParquetError::General("the file has fewer columns than the table".to_owned()));
    };
    match kind {
        Kind::Count => {
            let count = |cell: &Cell| match cell {
                Cell::Count(count) => i64::try_from(*count).unwrap_or(i64::MAX),
                Cell::Text(_) | Cell::Number(_) => 0,
            };
            let values: Vec<i64> = cells.map(count).collect();
            writer.typed::<Int64Type>().write_batch(&values, None, None)?;
        }
        Kind::Text => {
            let text = |cell: &Cell| match cell {
                Cell::Text(text) => ByteArray::from(text.as_str()),
                Cell::Count(_) | Cell::Number(_) => ByteArray::from(""),
            };
            let values: Vec<ByteArray> = cells.map(text).collect();
            writer.typed::<ByteArrayType>().write_batch(&values, None, None)?;
        }
        Kind::Number => {
            let number = |cell: &Cell| match cell {
                Cell::Number(value) => value.map(rounded),
                Cell::Count(_) | Cell::Text(_) => None,
            };
            let all: Vec<Option<f64>> = cells.map(number).collect();
            let levels: Vec<i16> = all.iter().map(|value| i16::from(value.is_some())).collect();
            let values: Vec<f64> = all.into_iter().flatten().collect();
            writer.typed::<DoubleType>().write_batch(&values, Some(&levels), None)?;
        }
    }
    writer.close()
}

fn facts(table: &Table<'_>, columns: &[Column]) -> Vec<KeyValue> {
    let json = serde_json::to_string(columns).unwrap_or_default();
    [
        ("columns", json),
        ("title", table.study.title.clone()),
        ("study_sha256", table.study.sha256.clone()),
        ("case_sha256", table.study.base.sha256.clone()),
    ]
    .map(|(key, value)| KeyValue::new(key.to_owned(), value))
    .to_vec()
}

/// Writes the table.
///
/// # Errors
///
/// Of the system.
pub fn table_parquet(table: &mut Table<'_>, file: &mut (dyn Write + Send)) -> io::Result<()> {
    let columns = columns(table.study, table.numbers);
    let facts = facts(table, &columns);
    let mut writer = Writer::new(file, &columns, facts)?;
    for index in 0..table.points.len() {
        if let Some(row) = table.row(index).map_err(as_io)? {
            writer.row(row.cells)?;
        }
    }
    writer.finish()
}

/// Writes all paths of all cases.
///
/// # Errors
///
/// Of the system.
pub fn paths_parquet(table: &mut Table<'_>, file: &mut (dyn Write + Send)) -> io::Result<()> {
    let columns = path_columns(table);
    let facts = facts(table, &columns);
    let mut writer = Writer::new(file, &columns, facts)?;
    for index in 0..table.points.len() {
        let Some(outcome) = table.journal.outcome(index).map_err(as_io)? else { continue };
        for row in outcome.paths {
            let mut cells =
                vec![Cell::Count(index + 1), Cell::Text(row.stage), Cell::Text(row.hole)];
            cells.push(Cell::Number(Some(row.angle_deg)));
            cells.extend(row.numbers.map(|number| Cell::Number(Some(number))));
            writer.row(cells)?;
        }
    }
    writer.finish()
}

fn path_columns(table: &Table<'_>) -> Vec<Column> {
    let units = table.study.base.units;
    let (length, stress) = (units.length_name(), units.stress_name());
    let texts = ["stage", "hole"];
    let described = [
        ("", "state of the plate"),
        ("", "hole that the path leaves"),
        ("degree", "direction of the path, counter-clockwise from +x"),
        (length, "distance from the edge of the hole"),
        (stress, "hoop stress, tension positive"),
        (stress, "radial stress"),
        (stress, "von Mises stress"),
        ("1", "equivalent plastic strain"),
    ];
    let case = Column {
        name: "case".to_owned(),
        unit: "1".to_owned(),
        meaning: "number of the case, from 1".to_owned(),
        kind: Kind::Count,
    };
    let others = OF_PATHS.into_iter().zip(described).map(|(name, (unit, meaning))| Column {
        name: name.to_owned(),
        unit: unit.to_owned(),
        meaning: meaning.to_owned(),
        kind: if texts.contains(&name) { Kind::Text } else { Kind::Number },
    });
    std::iter::once(case).chain(others).collect()
}
