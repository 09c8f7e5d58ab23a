// Photos that wait to be sent, in this browser's database: one entry for each model, its photos as they were chosen.

import { isOld, owner } from "./kept-store.js";

const [DATABASE, MODELS] = ["tapeplat", "models"];

/** Keep a model's photos; throws where the browser has no room, or keeps nothing. */
export const keepModel = (model) => within("readwrite", (models) => models.put(model));

export const dropModel = (id) => within("readwrite", (models) => models.delete(id));

/** The models that whoever is asking has not sent, the oldest first; all others are deleted. */
export async function keptModels() {
  const all = await within("readonly", (models) => models.getAll());
  const mine = all.filter((model) => model.owner === owner && !isOld(model.at));
  for (const model of all) if (!mine.includes(model) && owner !== "-") await dropModel(model.id);
  return mine.sort((a, b) => a.at - b.at);
}

export const forgetPhotos = () => within("readwrite", (models) => models.clear());

async function within(mode, act) {
  const database = await opened();
  try {
    return await answerOf(act(database.transaction(MODELS, mode).objectStore(MODELS)));
  } finally {
    database.close();
  }
}

function opened() {
  const asked = indexedDB.open(DATABASE, 1);
  asked.onupgradeneeded = () => asked.result.createObjectStore(MODELS, { keyPath: "id" });
  return answerOf(asked);
}

const answerOf = (asked) => new Promise((resolve, reject) => {
  asked.onsuccess = () => resolve(asked.result);
  asked.onerror = () => reject(asked.error);
});
