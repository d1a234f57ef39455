// query writes what stands behind the ? of an address, with it; fields that are empty
// are left out, and so is the ? where nothing is left.
export function query(fields) {
  const set = Object.entries(fields).filter(([, value]) => value !== "" && value != null);
  return set.length ? `?${new URLSearchParams(set)}` : "";
}
