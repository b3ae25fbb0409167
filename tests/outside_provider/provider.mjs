// An OpenID Connect provider on loopback, for tests: two clients, and the people of PEOPLE.
// usage: node provider.mjs RETURN_ADDRESS CLIENT_SECRET PEOPLE_JSON; prints its address when it listens.
import { createServer } from "node:http";
import Provider from "oidc-provider";

const [returnAddress, secret, people] = process.argv.slice(2);
const known = JSON.parse(people);

const server = createServer();
server.listen(0, "127.0.0.1", () => {
  const issuer = `http://127.0.0.1:${server.address().port}`;
  const provider = new Provider(issuer, {
    clients: [{
      client_id: "wheelover",
      client_secret: secret,
      redirect_uris: [returnAddress],
      grant_types: ["authorization_code"],
      response_types: ["code"],
      token_endpoint_auth_method: "client_secret_basic",
    }],
    pkce: { required: () => true },
    claims: { openid: ["sub"], email: ["email", "email_verified"] },
    cookies: { keys: ["only for tests"] },
    findAccount: (_, sub) => known[sub] && { accountId: sub, claims: () => ({ sub, ...known[sub] }) },
  });
  server.on("request", provider.callback());
  console.log(issuer);
});
