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

/** Ask the browser not to throw away what is kept; false where it refuses. */
export async function keep() {
  if (!navigator.storage?.persist) return false;
  return (await navigator.storage.persisted()) || navigator.storage.persist();
}
