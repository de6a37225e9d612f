/** A duration in seconds as people say it: `45 s`, `12 min`, `3 h 05 min`. Negative durations keep their sign. */
export function durationText(seconds: number): string {
  if (!Number.isFinite(seconds)) return '—';
  const sign = seconds < 0 ? '-' : '';
  const whole = Math.round(Math.abs(seconds));
  if (whole < 90) return `${sign}${whole} s`;
  const minutes = Math.round(whole / 60);
  if (minutes < 60) return `${sign}${minutes} min`;
  return `${sign}${Math.floor(minutes / 60)} h ${String(minutes % 60).padStart(2, '0')} min`;
}
