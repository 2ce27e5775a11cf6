import { type Signal, useSignal } from '@preact/signals';
import { type RefObject } from 'preact';
import { useLayoutEffect } from 'preact/hooks';

/** Inner size of an element, px, kept up to date. */
export function useSize(ref: RefObject<Element | null>): Signal<{ width: number; height: number }> {
  const size = useSignal({ width: 0, height: 0 });
  useLayoutEffect(() => {
    const element = ref.current;
    if (!element) return undefined;
    const measure = () => {
      const { clientWidth: width, clientHeight: height } = element;
      if (width !== size.peek().width || height !== size.peek().height) size.value = { width, height };
    };
    measure();
    const observer = new ResizeObserver(measure);
    observer.observe(element);
    return () => observer.disconnect();
  }, [ref, size]);
  return size;
}
