//! The network: a small transformer encoder (Vaswani and others 2017, as BERT has it: Devlin and others 2018) that reads the
//! pieces of a text, each beside all others. The mean of them says what the text means, each of them what it means there.
//!
//! Its weights are whole numbers of one byte with a scale for each row, in `network.safetensors`; `tests/search/teach.py` taught
//! them and says how.

use std::sync::LazyLock;

use ndarray::{Array1, Array2, ArrayView2, ArrayViewMut1, Axis, Slice, azip};
use safetensors::SafeTensors;
use statrs::function::erf::erf;

/// How many layers there are, and how many heads each has.
const LAYERS: usize = 6;
const HEADS: usize = 12;
/// Keeps a layer's spread from being none.
const LEAST: f32 = 1e-12;

/// None from a file that does not read; it is part of the program, and a test holds it.
static NETWORK: LazyLock<Option<Network>> = LazyLock::new(|| Network::read(include_bytes!("network.safetensors")).ok());

struct Network {
    /// What each piece means by itself, in whole numbers with a scale a row; and what its place adds.
    pieces: (Array2<i8>, Array1<f32>),
    places: Array2<f32>,
    first: Norm,
    layers: Vec<Layer>,
    /// From the mean to a direction, and from each piece to one: what is the same in all texts is left out.
    direction: Array2<f32>,
    each: Array2<f32>,
}

struct Layer {
    /// Queries, keys and values in one.
    attends: Linear,
    says: Linear,
    attended: Norm,
    widens: Linear,
    narrows: Linear,
    done: Norm,
}

struct Linear {
    weight: Array2<f32>,
    bias: Array1<f32>,
}

struct Norm {
    weight: Array1<f32>,
    bias: Array1<f32>,
}

/// What pieces mean, as directions of length one: all of them together, and each of them, a row a piece.
pub(super) struct Meant {
    pub together: Array1<f32>,
    pub each: Array2<f32>,
}

pub(super) fn meant(pieces: &[usize]) -> Option<Meant> {
    NETWORK.as_ref().map(|network| network.meant(pieces))
}

impl Network {
    fn read(bytes: &[u8]) -> anyhow::Result<Self> {
        let file = Tensors(SafeTensors::deserialize(bytes)?);
        let layer = |n: usize| {
            anyhow::Ok(Layer {
                attends: file.linear(&format!("{n}.attends"))?,
                says: file.linear(&format!("{n}.says"))?,
                attended: file.norm(&format!("{n}.attended"))?,
                widens: file.linear(&format!("{n}.widens"))?,
                narrows: file.linear(&format!("{n}.narrows"))?,
                done: file.norm(&format!("{n}.done"))?,
            })
        };
        Ok(Self {
            pieces: file.whole("pieces")?,
            places: file.table("places")?,
            first: file.norm("first")?,
            layers: (0..LAYERS).map(layer).collect::<anyhow::Result<_>>()?,
            direction: file.table("direction")?,
            each: file.table("each")?,
        })
    }

    fn meant(&self, pieces: &[usize]) -> Meant {
        let (rows, scales) = &self.pieces;
        let mut x = self.places.slice_axis(Axis(0), Slice::from(..pieces.len())).to_owned();
        for (mut row, piece) in x.outer_iter_mut().zip(pieces) {
            let scale = scales[*piece];
            azip!((to in &mut row, from in rows.row(*piece)) *to += f32::from(*from) * scale);
        }
        self.first.apply(&mut x);
        for layer in &self.layers {
            layer.apply(&mut x);
        }
        let mut each = x.dot(&self.each.t());
        each.outer_iter_mut().for_each(to_unit);
        let mut together = self.direction.dot(&x.sum_axis(Axis(0)));
        to_unit(together.view_mut());
        Meant { together, each }
    }
}

impl Layer {
    fn apply(&self, x: &mut Array2<f32>) {
        let all = self.attends.of(x);
        let width = x.ncols();
        let each = width / HEADS;
        let mut heard = Array2::zeros(x.raw_dim());
        for head in 0..HEADS {
            let columns = |part: usize| Slice::from(part * width + head * each..part * width + (head + 1) * each);
            let of = |part: usize| -> ArrayView2<f32> { all.slice_axis(Axis(1), columns(part)) };
            let (query, key, value) = (of(0), of(1), of(2));
            let mut shares = query.dot(&key.t()) / (each as f32).sqrt();
            shares.outer_iter_mut().for_each(|mut row| {
                let most = row.fold(f32::MIN, |a, b| a.max(*b));
                row.mapv_inplace(|share| (share - most).exp());
                let sum = row.sum();
                row /= sum;
            });
            heard.slice_axis_mut(Axis(1), columns(0)).assign(&shares.dot(&value));
        }
        *x += &self.says.of(&heard);
        self.attended.apply(x);
        let mut wide = self.widens.of(x);
        // The Gaussian error linear unit (Hendrycks and Gimpel 2016).
        wide.mapv_inplace(|x| 0.5 * x * (1.0 + erf(f64::from(x) / std::f64::consts::SQRT_2) as f32));
        *x += &self.narrows.of(&wide);
        self.done.apply(x);
    }
}

impl Linear {
    fn of(&self, x: &Array2<f32>) -> Array2<f32> {
        x.dot(&self.weight.t()) + &self.bias
    }
}

impl Norm {
    /// Each row to mean nought and spread one, then scaled.
    fn apply(&self, x: &mut Array2<f32>) {
        for mut row in x.outer_iter_mut() {
            let mean = row.sum() / row.len() as f32;
            row -= mean;
            let spread = (row.dot(&row) / row.len() as f32 + LEAST).sqrt();
            azip!((x in &mut row, w in &self.weight, b in &self.bias) *x = *x / spread * w + b);
        }
    }
}

/// The file's tensors: rows of `f32`, and tables of `i8` each with a row of scales.
struct Tensors<'a>(SafeTensors<'a>);

impl Tensors<'_> {
    fn row(&self, name: &str) -> anyhow::Result<Array1<f32>> {
        let data = self.0.tensor(name)?.data();
        Ok(data.as_chunks().0.iter().map(|bytes| f32::from_le_bytes(*bytes)).collect())
    }

    fn whole(&self, name: &str) -> anyhow::Result<(Array2<i8>, Array1<f32>)> {
        let tensor = self.0.tensor(&format!("{name}.weight"))?;
        let &[rows, columns] = tensor.shape() else { anyhow::bail!("{name} is no table") };
        let numbers = tensor.data().iter().map(|byte| byte.cast_signed()).collect();
        Ok((Array2::from_shape_vec((rows, columns), numbers)?, self.row(&format!("{name}.scale"))?))
    }

    fn table(&self, name: &str) -> anyhow::Result<Array2<f32>> {
        let (whole, scales) = self.whole(name)?;
        Ok(whole.mapv(f32::from) * scales.insert_axis(Axis(1)))
    }

    fn linear(&self, name: &str) -> anyhow::Result<Linear> {
        Ok(Linear { weight: self.table(name)?, bias: self.row(&format!("{name}.bias"))? })
    }

    fn norm(&self, name: &str) -> anyhow::Result<Norm> {
        Ok(Norm { weight: self.row(&format!("{name}.weight"))?, bias: self.row(&format!("{name}.bias"))? })
    }
}

fn to_unit(mut direction: ArrayViewMut1<f32>) {
    let length = direction.dot(&direction).sqrt();
    if length > 0.0 {
        direction /= length;
    }
}
