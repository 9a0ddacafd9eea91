/** Whether the page came by https, which is what browsers want of one that is put on a home screen. */
export const isSecure = (): boolean => location.protocol === 'https:' && window.isSecureContext;

/** By https the page itself is kept on the phone; see public/sw.js for what is not. One that is refused is no loss. */
export function keepPage(): void {
  if (isSecure() && 'serviceWorker' in navigator)
    navigator.serviceWorker.register('/sw.js', { updateViaCache: 'none' }).catch(() => {});
}
