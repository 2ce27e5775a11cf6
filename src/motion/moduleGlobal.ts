/**
 * OpenCV's script assigns the global `Module` where there is none, which a module may not do. Import this before it.
 */
(globalThis as { Module?: object }).Module ??= {};
export {};
