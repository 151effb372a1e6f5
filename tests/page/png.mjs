// png.mjs - a screenshot made small enough to be kept beside the sources: few shades, a palette, packed hard. The format is
// that of the PNG specification (ISO/IEC 15948).
import { deflateSync, inflateSync } from "node:zlib";

const SHADE = 16; // steps of a colour that are told apart; a figure's smoothed edge needs no more

// The pixels of an 8-bit RGB or RGBA picture: {wide, high, bytes a pixel, data}.
function decode(png) {
  const parts = [];
  let wide = 0, high = 0, step = 3;
  for (let at = 8; at < png.length; ) {
    const size = png.readUInt32BE(at), name = png.toString("latin1", at + 4, at + 8), body = png.subarray(at + 8, at + 8 + size);
    if (name === "IHDR") [wide, high, step] = [body.readUInt32BE(0), body.readUInt32BE(4), body[9] === 6 ? 4 : 3];
    if (name === "IDAT") parts.push(body);
    at += size + 12;
  }
  const raw = inflateSync(Buffer.concat(parts)), row = wide * step, data = Buffer.alloc(row * high);
  for (let y = 0; y < high; y++) unfilter(raw, y * (row + 1), data, y * row, row, step, y > 0);
  return { wide, high, step, data };
}

// One row: each byte was written as its difference from its left, upper or both neighbours.
function unfilter(raw, from, data, to, row, step, hasUpper) {
  const kind = raw[from];
  for (let x = 0; x < row; x++) {
    const left = x >= step ? data[to + x - step] : 0, up = hasUpper ? data[to + x - row] : 0;
    const corner = hasUpper && x >= step ? data[to + x - row - step] : 0;
    const guess = [0, left, up, (left + up) >> 1, nearest(left, up, corner)][kind];
    data[to + x] = raw[from + 1 + x] + guess;
  }
}

function nearest(left, up, corner) {
  const at = left + up - corner, a = Math.abs(at - left), b = Math.abs(at - up), c = Math.abs(at - corner);
  return a <= b && a <= c ? left : b <= c ? up : corner;
}

// The check sum of a chunk (annex D of the specification).
function crc32(bytes) {
  let sum = 0xffffffff;
  for (const byte of bytes) {
    sum ^= byte;
    for (let bit = 0; bit < 8; bit++) sum = sum & 1 ? (sum >>> 1) ^ 0xedb88320 : sum >>> 1;
  }
  return (sum ^ 0xffffffff) >>> 0;
}

function chunk(name, body) {
  const named = Buffer.concat([Buffer.from(name, "latin1"), body]), out = Buffer.alloc(named.length + 8);
  out.writeUInt32BE(body.length, 0);
  named.copy(out, 4);
  out.writeUInt32BE(crc32(named), named.length + 4);
  return out;
}

// The same picture with at most 256 colours; as it came where it has more.
export function small(png) {
  const { wide, high, step, data } = decode(png), palette = new Map(), colours = [], rows = Buffer.alloc((wide + 1) * high);
  const shade = (v) => Math.round(v / SHADE);
  for (let i = 0; i < wide * high; i++) {
    const key = (shade(data[i * step]) << 10) | (shade(data[i * step + 1]) << 5) | shade(data[i * step + 2]);
    if (!palette.has(key)) {
      palette.set(key, palette.size);
      colours.push(...data.subarray(i * step, i * step + 3)); // the first of its kind, so that the paper keeps its own colour
    }
    rows[i + Math.floor(i / wide) + 1] = palette.get(key);
  }
  if (palette.size > 256) return png;
  const head = Buffer.alloc(13);
  head.writeUInt32BE(wide, 0);
  head.writeUInt32BE(high, 4);
  head.set([8, 3, 0, 0, 0], 8); // 8 bits, palette
  return Buffer.concat([png.subarray(0, 8), chunk("IHDR", head), chunk("PLTE", Buffer.from(colours)), chunk("IDAT", deflateSync(rows, { level: 9 })),
    chunk("IEND", Buffer.alloc(0))]);
}
