export function need(packageName: string, commandName: string): Promise<void>;
