// What the phone keeps: in IndexedDB, until the server has it. The stored format has a version, and
// every version that there ever was is read for ever.

const NAME = "baywright-crew";
export const FORMAT = 1;

let opened;

function open() {
  opened ??= new Promise((resolve, reject) => {
    const request = indexedDB.open(NAME, FORMAT);
    request.onupgradeneeded = () => {
      // From version 1 on: settings by name, jobs by id, batches in the order they were made, photos by id.
      const database = request.result;
      database.createObjectStore("settings");
      database.createObjectStore("jobs");
      database.createObjectStore("batches", { keyPath: "order", autoIncrement: true });
      database.createObjectStore("photos", { keyPath: "id" });
    };
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => reject(request.error);
  });
  return opened;
}

async function act(store, mode, work) {
  const database = await open();
  return new Promise((resolve, reject) => {
    const transaction = database.transaction(store, mode, { durability: "strict" });
    const request = work(transaction.objectStore(store));
    transaction.oncomplete = () => resolve(request?.result);
    transaction.onerror = transaction.onabort = () => reject(transaction.error);
  });
}

export const get = (store, key) => act(store, "readonly", (its) => its.get(key));
export const all = (store) => act(store, "readonly", (its) => its.getAll());
export const put = (store, value, key) => act(store, "readwrite", (its) => its.put(value, key));
export const remove = (store, key) => act(store, "readwrite", (its) => its.delete(key));

/** Change what is kept under a key in one step; `made` is given what is there and returns what is to be, or null for no change. */
export async function change(store, key, made) {
  const database = await open();
  return new Promise((resolve, reject) => {
    const transaction = database.transaction(store, "readwrite", { durability: "strict" });
    const its = transaction.objectStore(store);
    const asked = its.get(key);
    let changed = null;
    asked.onsuccess = () => {
      changed = asked.result === undefined ? null : made(asked.result);
      if (changed === REMOVED) its.delete(key);
      else if (changed !== null) its.keyPath === null ? its.put(changed, key) : its.put(changed);
    };
    transaction.oncomplete = () => resolve(changed);
    transaction.onerror = transaction.onabort = () => reject(transaction.error);
  });
}

export const REMOVED = Symbol("removed");

/** Ask the browser not to throw away what is kept; false where it refuses. */
export async function keep() {
  if (!navigator.storage?.persist) return false;
  return (await navigator.storage.persisted()) || navigator.storage.persist();
}
